import { describe, expect, it } from 'vitest';
import { BURN_THRESHOLDS, burnThreshold, longestContactWithoutBurn } from '../../server/src/heat/touch.ts';

const celsius = (degrees: number): number => degrees + 273.15;

describe('burn thresholds of bare metal', () => {
  it('fall as the contact gets longer', () => {
    for (const [i, row] of BURN_THRESHOLDS.entries()) {
      expect(row.low).toBeLessThanOrEqual(row.high);
      const next = BURN_THRESHOLDS[i + 1];
      if (next) expect([next.contact > row.contact, next.high < row.low]).toEqual([true, true]);
    }
  });

  it('err towards the longer contact between two times', () => {
    expect(burnThreshold(30)).toBe(burnThreshold(60));
    expect(burnThreshold(0.5).contact).toBe(1);
    expect(burnThreshold(1e6).contact).toBe(28_800);
  });

  it.each([
    { degrees: 40, seconds: 28_800 },
    { degrees: 43, seconds: 600 },
    { degrees: 47, seconds: 600 },
    { degrees: 48, seconds: 60 },
    { degrees: 52, seconds: 10 },
    { degrees: 60, seconds: 1 },
    { degrees: 66, seconds: 0 },
    { degrees: 500, seconds: 0 },
  ])('$degrees °C may be touched for $seconds s', ({ degrees, seconds }) => {
    expect(longestContactWithoutBurn(celsius(degrees))).toBe(seconds);
  });
});
