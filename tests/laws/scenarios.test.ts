import { readFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test, vi } from 'vitest';
import { parse } from 'yaml';
import { findingsWith, mutantsOf, trainingPlans, trainingWorkspace } from './plan-mutants.ts';
import { patience } from './runs.ts';

vi.setConfig({ testTimeout: patience });

const clean = trainingWorkspace();

test.each(trainingPlans)('%s: a plan that a trainer signs has no finding', (name) => {
  expect(findingsWith(clean, name)).toEqual([]);
});

interface Judged {
  readonly class: string;
  readonly judgement: string;
  /** How many of each kind. */
  readonly survivors: Readonly<Record<string, number>>;
}

test('every slip in one of them is found, or judged by class', () => {
  const judged = parse(readFileSync(path.join(import.meta.dirname, 'survivors.yaml'), 'utf8')) as Judged[];
  const expected = Object.assign({}, ...judged.map(({ survivors }) => survivors)) as Record<string, number>;
  const survivors: Record<string, number> = {};
  const procedure = 'make-safe.shop-procedure.yaml';
  for (const file of [...trainingPlans, procedure]) {
    const plan = file === procedure ? 'outside-firm.repair-plan.yaml' : file;
    for (const mutant of mutantsOf(file)) {
      // The procedure takes its person from the plan.
      if (file === procedure && mutant.kind.startsWith('`by`')) continue;
      if (findingsWith(clean, plan, mutant).length === 0)
        survivors[mutant.kind] = (survivors[mutant.kind] ?? 0) + 1;
    }
  }
  expect(survivors).toEqual(expected);
});
