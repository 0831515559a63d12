import fc from 'fast-check';
import { expect, test } from 'vitest';
import { Rope } from '../../server/src/text/rope.ts';

/** Long enough for several stretches; few different characters, so that what is compared repeats itself. */
const long = fc
  .array(fc.tuple(fc.constantFrom('a', 'ab', 'abc\n', ' ', '\r\n', '😀'), fc.nat(9_000)), { maxLength: 8 })
  .map((parts) => parts.map(([unit, times]) => unit.repeat(times)).join(''));
const edits = fc.array(
  fc.record({ at: fc.nat(), deleted: fc.nat(20_000), text: fc.oneof(long, fc.string()) }),
  {
    maxLength: 6,
  },
);

test('a rope equals the string it was made from, after any edits', () => {
  fc.assert(
    fc.property(long, edits, fc.nat(), fc.nat(), (source, changes, a, b) => {
      let text = source;
      let rope = Rope.of(source);
      for (const { at, deleted, text: added } of changes) {
        const start = at % (text.length + 1);
        const end = Math.min(text.length, start + deleted);
        const [before, whole] = [rope, text];
        text = text.slice(0, start) + added + text.slice(end);
        rope = rope.replaced(start, end, added);
        const [from, to] = [a % (text.length + 1), b % (text.length + 1)].sort((one, other) => one - other);
        expect(rope.slice(from!, to!) === text.slice(from, to)).toBe(true);
        expect(rope.contentEnd).toBe(text.trimEnd().length);
        // What is said to have changed leads from the one to the other, and is no more than was edited.
        const change = before.diffTo(rope);
        const { start: first, end: last, newEnd } = change ?? { start: 0, end: 0, newEnd: 0 };
        expect(whole.slice(0, first) + text.slice(first, newEnd) + whole.slice(last) === text).toBe(true);
        expect(newEnd - first).toBeLessThanOrEqual(added.length);
        expect(last - first).toBeLessThanOrEqual(end - start);
        expect(before.equals(rope)).toBe(whole === text);
      }
      expect(rope.length).toBe(text.length);
      expect(String(rope) === text).toBe(true);
      expect(rope.diffTo(Rope.of(text))).toBeUndefined();
    }),
    { numRuns: 1_000 },
  );
});

test('an edit of a long text rebuilds only a small part of it', () => {
  const source = 'operations and more\n'.repeat(30_000);
  let rope = Rope.of(source);
  const parts = (): readonly string[] => rope.chunks;
  for (let i = 0; i < 500; i++) {
    const before = new Set(parts());
    rope = rope.replaced((i * 7_919) % rope.length, (i * 7_919) % rope.length, 'x');
    const fresh = parts().filter((part) => !before.has(part));
    expect(fresh.reduce((sum, part) => sum + part.length, 0)).toBeLessThan(20_000);
  }
  // Nor does it fall into crumbs.
  while (rope.length > 100_000) rope = rope.replaced(100, 5_100, '');
  expect(parts().length).toBeLessThan(40);
});
