import fc from 'fast-check';
import { evaluate } from 'mathjs';
import { describe, expect, it } from 'vitest';
import {
  CONTACT_VOLTAGES,
  LORENZ_NUMBER,
  constrictionTemperature,
  reachesVoltage,
  spotRadius,
  voltageDrop,
} from '../../server/src/heat/contact.ts';

const kelvin = fc.double({ min: 100, max: 1500, noNaN: true });
const volt = fc.double({ min: 0, max: 2, noNaN: true });

describe('voltage and temperature of a contact', () => {
  it('takes the Lorenz number from the exact constants that mathjs holds', () => {
    const oracle = evaluate('pi^2 / 3 * (boltzmann / elementaryCharge)^2').toNumber('V^2/K^2') as number;
    expect(LORENZ_NUMBER / oracle).toBeCloseTo(1, 12);
  });

  it('is the bulk’s without a voltage, grows with it, and adds as squares', () => {
    fc.assert(
      fc.property(kelvin, volt, volt, (bulk, one, other) => {
        const hot = constrictionTemperature(bulk, one);
        expect(hot).toBeGreaterThanOrEqual(bulk);
        // Two constrictions in a row, the second as warm as the first made it, are one with √(U₁² + U₂²).
        const twice = constrictionTemperature(hot, other);
        expect(twice / constrictionTemperature(bulk, Math.hypot(one, other))).toBeCloseTo(1, 9);
        if (one <= other) expect(hot).toBeLessThanOrEqual(constrictionTemperature(bulk, other));
      }),
    );
    expect(constrictionTemperature(400, 0)).toBe(400);
  });

  it('gives a round spot ρ/4a in each of its two members', () => {
    const radius = spotRadius(1.7241e-8, 0.3e-3);
    expect((2 * 1.7241e-8) / (4 * radius)).toBeCloseTo(0.3e-3, 15);
    expect(() => spotRadius(1.7241e-8, 0)).toThrow(RangeError);
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
