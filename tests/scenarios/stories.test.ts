import { readFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { parse } from 'yaml';
import { check } from '../../server/src/features/check.ts';
import { workspaceOf } from '../support/files.ts';
import { exampleFiles, wholePlan } from '../support/frame.ts';

interface Story {
  readonly story: string;
  readonly raises: string;
  readonly text: string;
}
const stories = parse(readFileSync(path.join(import.meta.dirname, 'stories.yaml'), 'utf8')) as Story[];

test.each(stories.map(({ story, ...one }) => [story, one] as const))('%s', (_, { raises, text }) => {
  const workspace = workspaceOf({ ...exampleFiles, 'one.repair-plan.yaml': wholePlan(text) });
  const found = check(workspace, 'file:///plans/one.repair-plan.yaml', { today: '2027-02-10' });
  expect(found.map(({ finding, operation }) => `${finding} ${operation ?? ''}`)).toContain(raises);
});
