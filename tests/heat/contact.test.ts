import fc from 'fast-check';
import { evaluate } from 'mathjs';
import { describe, expect, it } from 'vitest';
import {
  CONTACT_VOLTAGES,
  LORENZ_NUMBER,
  constrictionResistance,
  constrictionTemperature,
  constrictionVoltage,
  reachesVoltage,
  voltageDrop,
} from '../../server/src/heat/contact.ts';

const kelvin = fc.double({ min: 100, max: 1500, noNaN: true });
const volt = fc.double({ min: 0, max: 2, noNaN: true });

describe('voltage and temperature of a contact', () => {
  it('takes the Lorenz number from the exact constants that mathjs holds', () => {
    const oracle = evaluate('pi^2 / 3 * (boltzmann / elementaryCharge)^2').toNumber('V^2/K^2') as number;
    expect(LORENZ_NUMBER / oracle).toBeCloseTo(1, 12);
  });

  it('is its own inverse and grows with the voltage', () => {
    fc.assert(
      fc.property(kelvin, volt, volt, (bulk, one, other) => {
        const hot = constrictionTemperature(bulk, one);
        expect(hot).toBeGreaterThanOrEqual(bulk);
        // A volt of 1e-5 moves a square of 1e6 by less than a double resolves, hence the absolute part.
        expect(constrictionVoltage(bulk, hot)).toBeCloseTo(one, 5);
        if (one <= other) expect(hot).toBeLessThanOrEqual(constrictionTemperature(bulk, other));
      }),
    );
    expect(constrictionVoltage(400, 300)).toBe(0);
  });

  it('gives each member half of a round spot’s resistance', () => {
    expect(constrictionResistance(1.7241e-8, 1e-4)).toBeCloseTo((2 * 1.7241e-8) / (4 * 1e-4), 15);
    expect(() => constrictionResistance(1.7241e-8, 0)).toThrow(RangeError);
  });

  it('softens every plating before it melts it', () => {
    for (const { softening, melting } of Object.values(CONTACT_VOLTAGES))
      expect(softening).toBeLessThan(melting);
  });
});

describe('what a terminal-to-terminal reading says of the contact', () => {
  // Silver softens at 0.09 V. At 500 A: 0.1 mΩ drops 0.05 V, 0.2 mΩ 0.1 V, 0.4 mΩ 0.2 V.
  it.each([
    { reading: 0.1e-3, asNew: undefined, reach: 'below' },
    { reading: 0.2e-3, asNew: undefined, reach: 'possible' },
    { reading: 0.2e-3, asNew: 0.2e-3, reach: 'possible' },
    { reading: 0.4e-3, asNew: 0.2e-3, reach: 'likely' },
    { reading: 0.4e-3, asNew: undefined, reach: 'possible' },
  ])('$reading Ω, new $asNew Ω: $reach', ({ reading, asNew, reach }) => {
    expect(reachesVoltage(500, reading, CONTACT_VOLTAGES.silver.softening, asNew)).toBe(reach);
  });

  it('does not depend on the direction of the current', () => {
    expect(voltageDrop(-500, 2e-4)).toBe(voltageDrop(500, 2e-4));
    expect(reachesVoltage(-500, 0.4e-3, 0.09, 0.2e-3)).toBe('likely');
  });
});
