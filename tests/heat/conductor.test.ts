import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  COPPER_RESISTIVITY,
  IEC_60228,
  awgArea,
  awgDiameter,
  cableResistance,
} from '../../server/src/heat/conductor.ts';

describe('copper cable', () => {
  it('lists largest values: a little above solid copper of the full cross-section, never below, never far', () => {
    for (const row of IEC_60228) {
      const solid = (COPPER_RESISTIVITY / (row.area * 1e-6)) * 1000;
      expect(row.resistance / solid, `${row.area} mm²`).toBeGreaterThan(1.02);
      expect(row.resistance / solid, `${row.area} mm²`).toBeLessThan(1.17);
    }
  });

  it('says whether the table or the full cross-section was used', () => {
    expect(cableResistance(50e-6).basis).toBe('IEC 60228:2004 class 5');
    expect(cableResistance(42e-6)).toEqual({
      resistance: COPPER_RESISTIVITY / 42e-6,
      basis: 'IEC 60028 copper, full cross-section',
    });
    expect(() => cableResistance(0)).toThrow(RangeError);
  });

  it('resists more when warm, less with more cross-section', () => {
    const area = fc.double({ min: 1e-7, max: 5e-4, noNaN: true });
    const ofCable = (a: number, t: number): number => cableResistance(a, t).resistance;
    fc.assert(
      fc.property(area, fc.double({ min: 233, max: 473, noNaN: true }), (a, t) => {
        expect(ofCable(a, t)).toBeLessThan(ofCable(a, t + 1));
        // A listed size is up to a sixth above ρ/A, so compare sizes further apart than that.
        expect(ofCable(a, t)).toBeGreaterThan(ofCable(a * 1.25, t));
      }),
    );
  });
});

describe('wire gauges', () => {
  it('halve the area every three gauges and the diameter every six, nearly', () => {
    for (let gauge = 0; gauge <= 30; gauge++) {
      expect(awgArea(`${gauge}`) / awgArea(`${gauge + 3}`)).toBeCloseTo(2, 1);
      expect(awgDiameter(`${gauge}`) / awgDiameter(`${gauge + 6}`)).toBeCloseTo(2, 1);
    }
    expect(awgDiameter('1/0')).toBe(awgDiameter('0'));
  });

  it.each(['', '5/0', '0/0', '-1', 'AWG 10', '1000'])('rejects “%s”', (text) => {
    expect(() => awgDiameter(text)).toThrow(RangeError);
  });
});
