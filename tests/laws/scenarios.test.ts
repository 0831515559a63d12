import { expect, test } from 'vitest';
import { findingsWith, trainingPlans, trainingWorkspace } from './plan-mutants.ts';

const clean = trainingWorkspace();

test.each(trainingPlans)('%s: a plan that a trainer signs has no finding', (name) => {
  expect(findingsWith(clean, name)).toEqual([]);
});
