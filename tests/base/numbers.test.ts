import fc from 'fast-check';
import { expect, test } from 'vitest';
import { bytesOf, numbersFrom, numbersOf } from '../../server/src/base/numbers.ts';

test.each([
  [[], 2],
  [[0, 65_535], 2],
  [[0, 65_536], 4],
  [[4_294_967_295], 4],
])('%j takes %i bytes a number', (numbers, bytes) => {
  expect(numbersOf(numbers).BYTES_PER_ELEMENT).toBe(bytes);
  expect([...numbersOf(numbers)]).toEqual(numbers);
});

test('arrays of numbers come back from their bytes, wherever these lie', () => {
  const small = fc.nat(2 ** 16 - 1);
  const any = fc.array(fc.oneof(small, fc.nat(2 ** 32 - 1)));
  fc.assert(
    fc.property(fc.array(fc.oneof(fc.array(small), any)), fc.nat(3), (arrays, offset) => {
      const bytes = bytesOf(arrays.map((numbers) => numbersOf(numbers)));
      const placed = new Uint8Array(offset + bytes.length);
      placed.set(bytes, offset);
      const read = numbersFrom(
        placed.subarray(offset),
        arrays.map(({ length }) => length),
      );
      expect(read.map((numbers) => [...numbers])).toEqual(arrays);
    }),
  );
});
