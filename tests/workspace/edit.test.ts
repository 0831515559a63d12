import fc from 'fast-check';
import { expect, test } from 'vitest';
import { applyEdits } from '../../server/src/text/span.ts';
import type { Edit } from '../../server/src/text/span.ts';
import { check } from '../../server/src/features/check.ts';
import { Workspace } from '../../server/src/workspace/workspace.ts';
import { sampleUri, sampleWorkspace, samples } from '../support/files.ts';

const uri = sampleUri('quarter-panel.repair-plan.yaml');
const source = samples()['quarter-panel.repair-plan.yaml']!;
const today = '2027-02-10';

/** Some edits that do not overlap, among them lines put in and taken out, in any order. */
const drawn: fc.Arbitrary<Edit[]> = fc
  .array(
    fc.record({
      at: fc.nat(source.length),
      deleted: fc.nat(60),
      text: fc.constantFrom('', 'x', '\n', '  - { id: drawn, do: grind, zone: rear-floor }\n', 'a: {'),
    }),
    { maxLength: 5 },
  )
  .map((all) => {
    const edits: Edit[] = [];
    let from = 0;
    for (const { at, deleted, text } of all.sort((a, b) => a.at - b.at)) {
      const start = Math.max(from, at);
      const end = Math.min(source.length, start + deleted);
      edits.push({ uri, start, end, text });
      from = end;
    }
    return edits.reverse();
  });

test('edits and their inverse give the same result as parsing from scratch', () => {
  const workspace = sampleWorkspace();
  const untouched = check(workspace, uri, { today });
  fc.assert(
    fc.property(drawn, (edits) => {
      const back = workspace.edit(uri, edits);
      const text = applyEdits(source, edits, uri);
      expect(workspace.text(uri)).toBe(text);
      const fresh = sampleWorkspace();
      fresh.set(uri, text);
      expect(check(workspace, uri, { today })).toEqual(check(fresh, uri, { today }));
      workspace.edit(uri, back);
      expect(workspace.text(uri)).toBe(source);
      expect(check(workspace, uri, { today })).toEqual(untouched);
    }),
    { numRuns: 60 },
  );
});

test('edits that overlap change nothing', () => {
  const workspace = new Workspace();
  workspace.set(uri, 'plan: T-1\n');
  const one = { uri, start: 0, end: 4, text: '' };
  expect(() => workspace.edit(uri, [one, { ...one, start: 2, end: 6 }])).toThrow(RangeError);
  expect(() => workspace.edit(uri, [one, { ...one, start: 8, end: 99 }])).toThrow(RangeError);
  expect(workspace.text(uri)).toBe('plan: T-1\n');
});
