import fc from 'fast-check';
import { cumulativeStdNormalProbability, mean, standardDeviation } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { conformanceProbability, judge, propagate } from '../../server/src/heat/uncertainty.ts';

/** Deterministic uniform numbers in (0, 1): Park and Miller's minimal standard generator. */
function* uniform(seed: number): Generator<number, never> {
  for (let state = seed; ;) {
    state = (state * 48_271) % 2_147_483_647;
    yield state / 2_147_483_647;
  }
}

describe('propagation of uncertainty', () => {
  it('meets a Monte Carlo run: heat of a reading at a clamp meter’s current, correlated inputs', () => {
    const inputs = [
      { value: 180, uncertainty: 2 },
      { value: 0.31e-3, uncertainty: 0.01e-3 },
    ];
    const r = -0.6;
    const heat = (values: readonly number[]): number => values[0]! ** 2 * values[1]!;
    const source = uniform(20_270_203);
    const draws = Array.from({ length: 200_000 }, () => {
      const radius = Math.sqrt(-2 * Math.log(source.next().value));
      const angle = 2 * Math.PI * source.next().value;
      const [a, b] = [radius * Math.cos(angle), radius * Math.sin(angle)];
      return heat([180 + 2 * a, 0.31e-3 + 0.01e-3 * (r * a + Math.sqrt(1 - r * r) * b)]);
    });
    const result = propagate(heat, inputs, [
      [1, r],
      [r, 1],
    ]);
    expect(mean(draws) / result.value).toBeCloseTo(1, 2);
    expect(standardDeviation(draws) / result.uncertainty).toBeCloseTo(1, 2);
  });

  it('is exact for sums and differences, and lies between independent and fully correlated', () => {
    const inputs = fc.array(
      fc.record({
        value: fc.double({ min: -100, max: 100, noNaN: true }),
        uncertainty: fc.double({ min: 0, max: 10, noNaN: true }),
      }),
      { minLength: 2, maxLength: 6 },
    );
    const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);
    fc.assert(
      fc.property(inputs, (list) => {
        const uncertainties = list.map((input) => input.uncertainty);
        const together = propagate(
          sum,
          list,
          list.map(() => list.map(() => 1)),
        );
        expect(propagate(sum, list).uncertainty).toBeCloseTo(Math.hypot(...uncertainties), 9);
        expect(together.uncertainty).toBeCloseTo(sum(uncertainties), 9);
        expect(together.contributions.length).toBe(list.length);
      }),
    );
  });

  it('lets fully correlated inputs cancel, as reversing the current cancels a thermal voltage', () => {
    const half = propagate(
      ([forward, backward]) => (forward! - backward!) / 2,
      [
        { value: 31.5e-6, uncertainty: 1.5e-6 },
        { value: -28.5e-6, uncertainty: 1.5e-6 },
      ],
      [
        [1, 1],
        [1, 1],
      ],
    );
    expect(half.value).toBeCloseTo(30e-6, 12);
    expect(half.uncertainty).toBeLessThan(1e-12);
  });

  it.each([
    [[[1]]],
    [[[1, 0.5]]],
    [
      [
        [1, 0],
        [0, 2],
      ],
    ],
  ])('rejects an invalid correlation: %j', (correlation) => {
    const two = [
      { value: 1, uncertainty: 1 },
      { value: 1, uncertainty: 1 },
    ];
    expect(() => propagate(([a, b]) => a! + b!, two, correlation)).toThrow(RangeError);
  });
});

describe('probability of conformity', () => {
  it('follows the normal distribution of a statistics library, and mirrors', () => {
    // The library's table has four to five places.
    fc.assert(
      fc.property(fc.double({ min: -9, max: 9, noNaN: true }), (z) => {
        const p = conformanceProbability({ value: 0, uncertainty: 1 }, z);
        expect(p).toBeCloseTo(cumulativeStdNormalProbability(z), 2);
        expect(conformanceProbability({ value: 0, uncertainty: 1 }, z, 'at-least')).toBeCloseTo(1 - p, 12);
      }),
    );
    expect(() => conformanceProbability({ value: 0, uncertainty: 0 }, 1)).toThrow(RangeError);
  });
});

describe('judging a reading', () => {
  // Milliohms against 0.80, U 0.02: accepted up to 0.78, rejected above 0.82.
  it.each([
    { value: 0.77, verdict: 'accepted' },
    { value: 0.78, verdict: 'accepted' },
    { value: 0.7801, verdict: 'undecided' },
    { value: 0.8, verdict: 'undecided' },
    { value: 0.82, verdict: 'undecided' },
    { value: 0.8201, verdict: 'rejected' },
  ])('$value mΩ: $verdict', ({ value, verdict }) => {
    expect(judge(value * 1e-3, 0.02e-3, 0.8e-3).verdict).toBe(verdict);
    // The same reading as a distance from a lowest permitted value.
    expect(judge(1.6 - value, 0.02, 0.8, 'at-least').verdict).toBe(verdict);
  });

  it('states the rule used', () => {
    expect(judge(1, 0.1, 2)).toMatchObject({
      acceptance: 1.9,
      rejection: 2.1,
    });
    expect(String(judge(1, 0.1, 2).rule)).toContain('JCGM 106');
    expect(String(judge(1, undefined, 2).rule)).toContain('simple acceptance');
    expect(judge(2, undefined, 2).verdict).toBe('accepted');
    expect(judge(2.001, undefined, 2).verdict).toBe('rejected');
    expect(() => judge(1, -0.1, 2)).toThrow(RangeError);
  });

  it('accepts at 97.7 % and more, and never decides against the odds', () => {
    const number = fc.double({ min: 0.01, max: 10, noNaN: true });
    fc.assert(
      fc.property(number, number, number, (value, expanded, limit) => {
        const { verdict } = judge(value, expanded, limit);
        const p = conformanceProbability({ value, uncertainty: expanded / 2 }, limit);
        if (verdict === 'accepted') expect(p).toBeGreaterThan(0.977);
        else if (verdict === 'rejected') expect(p).toBeLessThan(0.023);
        else expect(Math.abs(p - 0.5)).toBeLessThan(0.478);
      }),
    );
  });
});
