import fc from 'fast-check';
import { expect, test } from 'vitest';
import { nearest } from '../../server/src/base/nearest.ts';

const word = fc.string({ unit: fc.constantFrom('a', 'b', '1', '-'), maxLength: 5 });

/** An entry that moves in the text changes nothing that is said about another. */
test('the nearest name does not depend on the order of the names', () => {
  const names = fc.uniqueArray(word, { maxLength: 6 });
  const shuffled = names.chain((all) =>
    fc.tuple(fc.constant(all), fc.shuffledSubarray(all, { minLength: all.length })),
  );
  fc.assert(
    fc.property(word, shuffled, (meant, [one, other]) => {
      expect(nearest(meant, one)).toBe(nearest(meant, other));
    }),
    { numRuns: 2_000 },
  );
});
