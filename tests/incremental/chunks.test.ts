import fc from 'fast-check';
import { expect, test } from 'vitest';
import { chunker } from '../../server/src/incremental/chunks.ts';

let made = 0;
const members = (count: number): object[] => Array.from({ length: count }, () => ({ number: made++ }));

test('the concatenated chunks equal the list', () => {
  fc.assert(
    fc.property(fc.integer({ min: 0, max: 500 }), (count) => {
      const list = members(count);
      const runs = chunker()(list);
      expect(runs.flat()).toEqual(list);
      expect(runs.every((run) => run.length > 0)).toBe(true);
    }),
  );
});

test('chunks that an edit does not touch stay the same arrays', () => {
  const edit = fc.record({
    at: fc.nat(1000),
    deleted: fc.integer({ min: 0, max: 12 }),
    added: fc.integer({ min: 0, max: 12 }),
  });
  fc.assert(
    fc.property(fc.array(edit, { minLength: 1, maxLength: 12 }), (edits) => {
      const runsOf = chunker();
      let list = members(1000);
      let before = runsOf(list);
      for (const { at, deleted, added } of edits) {
        const from = Math.min(at, list.length);
        const gone = new Set(list.slice(from, from + deleted));
        const fresh = members(added);
        const neighbours = new Set([list[from - 1], list[from + deleted], ...gone]);
        list = [...list.slice(0, from), ...fresh, ...list.slice(from + deleted)];
        const now = runsOf(list);
        expect(now.flat()).toEqual(list);
        const untouched = before.filter((run) => !run.some((member) => neighbours.has(member)));
        expect(untouched.filter((run) => !now.includes(run))).toEqual([]);
        before = now;
      }
    }),
  );
});

test('chunks stay short, however a list was built', () => {
  fc.assert(
    fc.property(fc.array(fc.integer({ min: 1, max: 40 }), { maxLength: 60 }), (inserts) => {
      const runsOf = chunker();
      let list: object[] = [];
      for (const count of inserts) {
        list = [...list.slice(0, list.length >> 1), ...members(count), ...list.slice(list.length >> 1)];
        runsOf(list);
      }
      for (const run of runsOf(list)) expect(run.length).toBeLessThan(400);
    }),
  );
});
