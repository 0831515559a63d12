import fc from 'fast-check';
import { create, all } from 'mathjs';
import { describe, expect, test } from 'vitest';
import {
  correctedUnit,
  quantityOfUnit,
  toSI,
  unitsOf,
  defaultUnit,
} from '../../server/src/document/quantity.ts';
import type { QuantityName } from '../../server/src/document/quantity.ts';
import { quantities, slips } from '../../server/src/generated/units.ts';

// Oracle: the units of mathjs, an independent general-purpose library.
const math = create(all!);
const theirs: Readonly<Record<string, string>> = {
  Ω: 'ohm',
  mΩ: 'milliohm',
  µΩ: 'microohm',
  kΩ: 'kiloohm',
  MΩ: 'megaohm',
  mohm: 'milliohm',
  uohm: 'microohm',
  kohm: 'kiloohm',
  Mohm: 'megaohm',
  min: 'minute',
  h: 'hour',
  d: 'day',
  '°C': 'degC',
  '°F': 'degF',
  'mm²': 'mm^2',
  mm2: 'mm^2',
  'cm²': 'cm^2',
  '°C/W': 'K/W',
  µF: 'uF',
};
const si: Readonly<Record<QuantityName, string>> = {
  current: 'A',
  voltage: 'V',
  resistance: 'ohm',
  time: 's',
  temperature: 'K',
  power: 'W',
  area: 'm^2',
  'heat-capacity': 'J/K',
  'thermal-resistance': 'K/W',
  'temperature-rise': 'K',
  capacitance: 'F',
};
const names = Object.keys(quantities) as QuantityName[];
const units = names.flatMap((name) => unitsOf(name).map((unit) => [name, unit] as const));

describe('quantities', () => {
  test.each(units)('%s in %s agrees with mathjs', (name, unit) => {
    fc.assert(
      fc.property(fc.double({ min: 0.001, max: 1e6, noNaN: true }), (value) => {
        const text = value.toFixed(6);
        const expected = math.unit(Number(text), theirs[unit] ?? unit).toNumber(si[name]);
        expect(toSI(name, `${text} ${unit}`)! / expected).toBeCloseTo(1, 9);
      }),
      { numRuns: 20, seed: 7 },
    );
  });

  test('every corrected spelling is a unit of the quantity, and correcting a canonical unit changes nothing', () => {
    for (const [slip, unit] of Object.entries(slips)) {
      const name = quantityOfUnit(unit);
      expect(name && correctedUnit(name, slip), slip).toBe(unit);
    }
    for (const [name, unit] of units) expect(toSI(name, `1 ${unit}`)).toBeDefined();
    for (const name of names) expect(unitsOf(name)).toContain(defaultUnit(name));
  });

  test.each([
    ['two signs for ohm', 'resistance', '1 \u2126', 1],
    ['two signs for micro', 'resistance', '1 \u03bcΩ', 1e-6],
    ['no space', 'current', '300A', 300],
    ['no unit', 'current', '300', undefined],
    ['a thousands comma', 'current', '1,300 A', undefined],
    ['a decimal comma', 'current', '1,3 A', undefined],
    ['milli is not mega', 'resistance', '1 MOhm', undefined],
    ['a word', 'current', 'many A', undefined],
  ] as const)('%s', (_, name, text, value) => {
    expect(toSI(name, text)).toBe(value);
  });
});
