import { expect, test } from 'vitest';
import { check } from '../../server/src/features/check.ts';
import { sampleUri, samples, sampleWorkspace } from '../support/files.ts';

const uri = sampleUri('quarter-panel.repair-plan.yaml');
const text = samples()['quarter-panel.repair-plan.yaml']!;
const today = '2027-02-01';
const toldOf = (changed: string): string[] => {
  const workspace = sampleWorkspace();
  workspace.set(uri, changed);
  return check(workspace, uri, { today }).map(({ finding }) => finding);
};

test('a bracket missing in a step of a clean plan is told by itself, at whatever step', () => {
  expect(toldOf(text)).toEqual([]);
  const from = text.indexOf('\noperations:');
  const brackets = [...text.matchAll(/^ {2}- \{.*connectors: (\[)/gm)].map(
    (found) => found.index + found[0].length - 1,
  );
  const inSteps = brackets.filter((at) => at > from && at < text.indexOf('\nlabour:'));
  expect(inSteps.length).toBeGreaterThan(8);
  const others = inSteps.map((at) => {
    const told = toldOf(text.slice(0, at) + text.slice(at + 1));
    expect(told).toContain('not-yaml');
    return told.filter((finding) => finding !== 'not-yaml');
  });
  expect(others.flat()).toEqual([]);
});
