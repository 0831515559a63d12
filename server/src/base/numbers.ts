/** Integers from 0 on, in as few bytes as the largest of them allows. */
export type Numbers = Uint16Array | Uint32Array;

/** @param numbers integers from 0 to 2³² - 1 */
export function numbersOf(numbers: ArrayLike<number>): Numbers {
  for (let at = 0; at < numbers.length; at++) {
    if (numbers[at]! >= 2 ** 16) return Uint32Array.from(numbers);
  }
  return Uint16Array.from(numbers);
}

/** Several arrays of numbers, each a view of one memory. Inverse: `numbersFrom`. */
export function bytesOf(arrays: readonly Numbers[]): Uint8Array {
  const all = numbersOf(arrays.flatMap((numbers) => [...numbers]));
  return new Uint8Array(all.buffer);
}

/** @param bytes what `bytesOf` has made of arrays of these lengths, in the byte order of this machine */
export function numbersFrom(bytes: Uint8Array, lengths: readonly number[]): Numbers[] {
  const count = lengths.reduce((sum, length) => sum + length, 0);
  const { buffer } = Uint8Array.from(bytes);
  const all = bytes.length === 2 * count ? new Uint16Array(buffer) : new Uint32Array(buffer);
  let at = 0;
  return lengths.map((length) => all.subarray(at, (at += length)));
}
