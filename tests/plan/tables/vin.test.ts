import fc from 'fast-check';
import { expect, test } from 'vitest';
import vinValidator from 'vin-validator';
import { checkDigit, invalidCharacters } from '../../../server/src/plan/tables/vin.ts';

test('worked values of 49 CFR 565.15', () => {
  expect(checkDigit('1M8GDM9AXKP042788')).toBe('X');
  expect(checkDigit('11111111111111111')).toBe('1');
});

const sign = fc.constantFrom(...'ABCDEFGHJKLMNPRSTUVWXYZ0123456789');
const vins = fc.array(sign, { minLength: 17, maxLength: 17 }).map((signs) => signs.join(''));

test('agrees with vin-validator 1.0.0 on every number of the right letters', () => {
  fc.assert(
    fc.property(vins, fc.constantFrom(...'0123456789X'), (any, ninth) => {
      const vin = any.slice(0, 8) + ninth + any.slice(9);
      expect(invalidCharacters(vin)).toEqual([]);
      expect(checkDigit(vin) === ninth).toBe(vinValidator.validate(vin));
    }),
    { seed: 1, numRuns: 2_000 },
  );
});

test('rejects the letters that vin-validator rejects', () => {
  for (const letter of 'IOQ-ß ') {
    const vin = `1M8GDM9AXKP04278${letter}`;
    expect(invalidCharacters(vin)).toEqual([letter]);
    expect(vinValidator.validate(vin)).toBe(false);
  }
});
