import { expect, test } from 'vitest';
import { check, ranks } from '../../server/src/features/check.ts';
import { sampleUri, samples, workspaceOf } from '../support/files.ts';

const name = 'quarter-panel.repair-plan.yaml';

test('findings stand in the order of the text, at one place the gravest first', () => {
  const files = samples();
  // The grinding waits for nothing: more than one finding stands at many steps.
  const loose = files[name]!.replace(/(\{ id: op60, [^}]*) \}/, '$1, after: [] }');
  const found = check(workspaceOf({ ...files, [name]: loose }, sampleUri('')), sampleUri(name), {
    today: '2027-02-10',
  });
  const pairs = found.slice(1).map((one, i) => [found[i]!, one] as const);
  const atOnePlace = pairs.filter(([a, b]) => a.range.start === b.range.start && a.range.end === b.range.end);
  expect(atOnePlace.filter(([a, b]) => a.severity !== b.severity).length).toBeGreaterThan(3);
  expect(atOnePlace.filter(([a, b]) => ranks[a.severity] < ranks[b.severity])).toEqual([]);
  expect(pairs.filter(([a, b]) => a.range.start > b.range.start)).toEqual([]);
});
