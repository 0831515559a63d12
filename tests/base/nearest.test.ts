import fc from 'fast-check';
import { expect, test } from 'vitest';
import { nearest } from '../../server/src/base/nearest.ts';

const word = fc.string({ unit: fc.constantFrom('a', 'b', '1', '-'), maxLength: 5 });

test.each([
  // A word on the left, then what may and what must not be offered for it.
  ['sensr', ['sensor', 'data'], 'sensor'],
  ['high-voltage-powr', ['high-voltage-power', 'low-voltage'], 'high-voltage-power'],
  ['shutdown', ['shut-down'], 'shut-down'],
  ['disconect', ['disconnect', 'reconnect'], 'disconnect'],
  ['battery-12v-of', ['battery-12v-on', 'battery-12v-off'], 'battery-12v-off'],
  ['connect', ['reconnect', 'disconnect'], 'reconnect'],
  ['eliver', ['deliver'], 'deliver'],
  ['high-voltage', ['low-voltage', 'data'], undefined],
  ['full-hybrid', ['mild-hybrid', 'hybrid'], undefined],
  ['not-protected', ['protected', 'separate'], undefined],
  ['compressed-gas', ['compressed-air'], undefined],
  ['power-off', ['power-up'], undefined],
  ['lock-off', ['lock-out', 'lock'], undefined],
  ['unlock', ['lock'], undefined],
  ['discharge-battery', ['charge-battery'], undefined],
  ['deconnect', ['reconnect'], undefined],
  ['isolate-12v', ['isolate-48v'], undefined],
  ['bag-left', ['bag-right'], undefined],
  ['inverter-ac', ['inverter-dc'], undefined],
  ['airbag-2', ['airbag-1'], undefined],
  ['5', ['0', '00'], undefined],
] as const)('%s, of %j: %s', (typed, names, meant) => {
  expect(nearest(typed, names)).toBe(meant);
});

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
