import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ASSUMPTIONS, reasonText } from '../../server/src/heat/assumptions.ts';
import { CONTACT_VOLTAGES, constrictionTemperature } from '../../server/src/heat/contact.ts';
import { ESTIMATE_NOTE, estimateHeat } from '../../server/src/heat/estimate.ts';
import type { HeatEstimate, HeatInput } from '../../server/src/heat/estimate.ts';
import { FIGURES } from '../../server/src/heat/heat-row.ts';
import type { HeatQuantity, HeatRow, RowKey } from '../../server/src/heat/heat-row.ts';
import type { CurrentSegment } from '../../server/src/heat/joule.ts';
import { heatVerdict } from '../../server/src/heat/verdict.ts';
import { AT_REST, riseAfter, timeConstants } from '../../server/src/heat/thermal.ts';
import { riseThrough } from './networks.ts';

/** Everything given; resistance and cable stay cold, so that figures can be worked by hand. */
const FULL: HeatInput = {
  steady: 180,
  peak: 520,
  peakTime: 10,
  asNew: 0.2e-3,
  limit: 0.5e-3,
  measured: { value: 0.31e-3, uncertainty: 0.02e-3 },
  plating: 'silver',
  cableArea: 50e-6,
  temperatureClass: 398.15,
  ambient: 313.15,
  budget: 12,
  thermal: {
    contactCapacity: 20,
    bodyCapacity: 300,
    contactToBody: 0.5,
    bodyToSurroundings: 4,
    coefficient: 1e-12,
    cableRise: 1e-12,
    cableShare: 1e-12,
  },
};

function row(estimate: HeatEstimate, key: RowKey): HeatRow {
  const found = estimate.rows.find((candidate) => candidate.key === key);
  if (!found) throw new Error(`no row ${key}`);
  return found;
}

describe('an estimate from everything', () => {
  const estimate = estimateHeat(FULL);

  it('has a row for every resistance, dirt above the reading', () => {
    expect(estimate.rows.map((r) => [r.key, Number(r.resistance.toPrecision(12))])).toEqual([
      ['as-new', 0.2e-3],
      ['limit', 0.5e-3],
      ['measured', 0.31e-3],
      ['dirt-10', 3.1e-3],
      ['dirt-100', 31e-3],
      ['dirt-1000', 0.31],
    ]);
    expect(estimate.clean).toEqual({ row: 'measured', resistance: 0.31e-3 });
    expect(estimate.note).toBe(ESTIMATE_NOTE);
    expect(estimate.assumptions).toEqual([]);
  });

  it('gives heat, drop and temperature as one would by hand', () => {
    const measured = row(estimate, 'measured');
    expect(measured.steady).toBeCloseTo(10.044, 9); // 180² · 0.31 mΩ
    expect(measured.peak).toBeCloseTo(83.824, 9); // 520² · 0.31 mΩ
    expect(measured.dropAtPeak).toBeCloseTo(0.1612, 9);
    expect(measured.steadyTemperature!.value).toBeCloseTo(313.15 + 10.044 * 4.5, 6);
    // Days at steady current, then ten seconds of peak.
    const followed = riseThrough(estimate.model.network, AT_REST, [
      { heat: 10.044, duration: 1e6 },
      { heat: 83.824, duration: 10 },
    ]);
    expect(measured.peakTemperature!.value).toBeCloseTo(313.15 + followed.contact, 6);
    expect(measured.cableLength).toBeCloseTo(0.31e-3 / estimate.cable!.resistance, 9);
    expect(measured.uncertainty).toBe(0.02e-3);
  });

  it('has no range if nothing is assumed', () => {
    for (const { steadyTemperature, peakTemperature } of estimate.rows) {
      for (const range of [steadyTemperature!, peakTemperature!]) {
        expect([range.low, range.high]).toEqual([range.value, range.value]);
      }
    }
  });

  it('judges the reading and the voltage at the contact', () => {
    expect(estimate.judgement!.verdict).toBe('accepted');
    // Silver softens at 0.09 V and melts at 0.37 V; new, the whole connector drops 0.104 V already.
    expect(row(estimate, 'as-new')).toMatchObject({ softening: 'possible', melting: 'below' });
    expect(row(estimate, 'limit')).toMatchObject({ softening: 'likely', melting: 'below' });
    expect(row(estimate, 'dirt-10')).toMatchObject({ softening: 'likely', melting: 'likely' });
  });

  it('inverts budget and temperature class', () => {
    const { forBudget, forSteadyTemperature, forPeakTemperature } = estimate.largestResistance;
    expect(forBudget).toBeCloseTo(12 / 180 ** 2, 12);
    for (const [limit, at] of [
      [forSteadyTemperature!, 'steadyTemperature'],
      [forPeakTemperature!, 'peakTemperature'],
    ] as const) {
      const there = estimateHeat({ ...FULL, measured: { value: limit.value } });
      expect(row(there, 'measured')[at]!.value).toBeCloseTo(398.15, 6);
    }
    expect(forPeakTemperature!.value).toBeLessThan(forSteadyTemperature!.value);
  });

  it('states when and at which current the temperature class is exceeded, and which values are not temperatures', () => {
    const clean = row(estimate, 'measured');
    expect([clean.steadyTimeToClass, clean.beyondModel]).toEqual([undefined, false]);
    expect(clean.peakTimeToClass).toBeGreaterThan(10);
    const dirty = row(estimate, 'dirt-10');
    expect(dirty.steadyTimeToClass).toBeGreaterThan(10);
    expect(dirty.peakTimeToClass).toBe(0);
    expect(row(estimate, 'dirt-1000').beyondModel).toBe(true);
  });
});

/** Hard acceleration, rolling, braking into the battery, standing. */
const CITY: readonly CurrentSegment[] = [
  { current: 480, duration: 10 },
  { current: 90, duration: 60 },
  { current: -200, duration: 10 },
  { current: 0, duration: 40 },
];

describe('a duty cycle', () => {
  const estimate = estimateHeat({ ...FULL, cycle: CITY });
  const measured = row(estimate, 'measured');

  it('has the heat of its root mean square, worked by hand', () => {
    // (480²·10 + 90²·60 + 200²·10) / 120 = 26 583 A²
    expect(estimate.cycle).toMatchObject({ duration: 120, highest: 480 });
    expect(estimate.cycle!.rms ** 2).toBeCloseTo(26_583.33, 1);
    expect(measured.cycle).toBeCloseTo(26_583.333 * 0.31e-3, 6);
    expect(estimate.largestResistance.forCycleBudget).toBeCloseTo(12 / 26_583.333, 9);
    expect(estimate.cable!.cycle).toBeCloseTo(26_583.333 * estimate.cable!.resistance, 4);
  });

  it('is as hot as following it round by round', () => {
    const { network, ambient } = estimate.model;
    const pieces = CITY.map(({ current, duration }) => ({ heat: current ** 2 * 0.31e-3, duration }));
    let state = AT_REST;
    const hottest: number[] = [];
    for (let round = 0; round < 200; round++) {
      // The first piece is the hottest: its end is where each round peaks.
      hottest.push(riseAfter(network, state, pieces[0]!.heat, pieces[0]!.duration).contact);
      state = riseThrough(network, state, pieces);
    }
    expect(measured.firstRoundTemperature!.value).toBeCloseTo(ambient + hottest[0]!, 6);
    expect(measured.cycleTemperature!.value).toBeCloseTo(ambient + hottest.at(-1)!, 4);
  });

  it('takes part in the inverse, the times and the drop', () => {
    const room = estimate.largestResistance.forCycleTemperature!;
    const there = estimateHeat({ ...FULL, cycle: CITY, measured: { value: room.value } });
    expect(row(there, 'measured').cycleTemperature!.value).toBeCloseTo(398.15, 6);
    expect(measured.cycleTimeToClass).toBeUndefined();
    const dirty = row(estimate, 'dirt-10');
    expect(dirty.cycleTimeToClass).toBeGreaterThan(0);
    expect(dirty.cycleTimeToClass).toBeLessThan(120);
    expect(dirty.earliest!.cycleTimeToClass).toBe(dirty.cycleTimeToClass); // nothing is assumed
    // Where no peak is stated, the cycle's highest current, in either direction, decides the drop.
    const brake = [...CITY, { current: -500, duration: 2 }];
    const withoutPeak = { ...FULL, peak: undefined, cycle: brake };
    expect(row(estimateHeat(withoutPeak), 'limit').dropAtPeak).toBeCloseTo(0.25, 12);
  });

  it('needs no steady current', () => {
    const alone = row(estimateHeat({ ...FULL, steady: undefined, cycle: CITY }), 'measured');
    expect(alone.steadyTemperature).toBeUndefined();
    expect(alone.cycleTemperature).toEqual(measured.cycleTemperature);
    expect(alone.touch!.temperature.value).toBeGreaterThan(313.15);
  });

  it.each([
    { name: 'no pieces', cycle: [] },
    { name: 'a piece of no time', cycle: [...CITY, { current: 5, duration: 0 }] },
    { name: 'a piece of negative time', cycle: [...CITY, { current: 5, duration: -5 }] },
    { name: 'no current at all', cycle: [{ current: 0, duration: 5 }] },
    { name: 'a current that is no number', cycle: [{ current: Number.NaN, duration: 5 }] },
  ])('of $name counts as not given', ({ cycle }) => {
    expect(estimateHeat({ ...FULL, cycle })).toEqual(estimateHeat(FULL));
  });
});

describe('the uncertainty of a reading', () => {
  // A poor meter: ± 25 %, so that what is not linear shows.
  const input = { ...FULL, cycle: CITY, measured: { value: 0.4e-3, uncertainty: 0.1e-3 } };
  const { uncertainties } = row(estimateHeat(input), 'measured');

  it('reaches heat and drop in proportion, worked by hand', () => {
    expect(uncertainties!.steady).toBeCloseTo(180 ** 2 * 0.1e-3, 9); // ± 3.24 W
    expect(uncertainties!.peak).toBeCloseTo(520 ** 2 * 0.1e-3, 9);
    expect(uncertainties!.dropAtPeak).toBeCloseTo(0.052, 9);
    expect(uncertainties!.steadyTemperature).toBeCloseTo(3.24 * 4.5, 6);
  });

  it('meets a Monte Carlo run in every figure', () => {
    const draws = 2000;
    const sums: Partial<Record<HeatQuantity, [sum: number, squares: number]>> = {};
    // Park and Miller's minimal standard generator, Box and Muller's transformation.
    let seed = 20_270_203;
    const uniform = (): number => (seed = (seed * 48_271) % 2_147_483_647) / 2_147_483_647;
    for (let i = 0; i < draws; i++) {
      const normal = Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
      const value = 0.4e-3 + 0.05e-3 * normal;
      const drawn = row(estimateHeat({ ...input, measured: { value } }), 'measured');
      for (const figure of FIGURES) {
        const found = drawn[figure];
        const number = typeof found === 'object' ? found.value : found!;
        const [sum, squares] = sums[figure] ?? [0, 0];
        sums[figure] = [sum + number, squares + number * number];
      }
    }
    expect(Object.keys(uncertainties!)).toEqual([...FIGURES]);
    for (const figure of FIGURES) {
      const [sum, squares] = sums[figure]!;
      const mean = sum / draws;
      const spread = 2 * Math.sqrt(squares / draws - mean * mean);
      // The spread of 2000 draws is itself known to 1.6 %; three of these, and what first order leaves out.
      expect(spread / uncertainties![figure]!, figure).toBeGreaterThan(0.95);
      expect(spread / uncertainties![figure]!, figure).toBeLessThan(1.05);
    }
  });

  it('is only where it was stated', () => {
    expect(row(estimateHeat({ ...FULL, measured: { value: 0.4e-3 } }), 'measured')).not.toHaveProperty(
      'uncertainties',
    );
    expect(row(estimateHeat(FULL), 'limit')).not.toHaveProperty('uncertainties');
  });

  it('gives the odds that the limit is kept', () => {
    // 0.4 ± 0.1 mΩ (k = 2) against 0.5 mΩ: two standard uncertainties, 97.7 % of a normal distribution.
    expect(estimateHeat(input).judgement!.probability).toBeCloseTo(0.977, 3);
    expect(estimateHeat({ ...FULL, measured: { value: 0.4e-3 } }).judgement).not.toHaveProperty(
      'probability',
    );
  });
});

describe('the spot temperature behind a drop, and touch temperature', () => {
  const measured = row(estimateHeat(FULL), 'measured');

  it('bounds the spots by the whole drop in metal as warm as the contact', () => {
    expect(measured.spotTemperature!.value).toBeCloseTo(
      constrictionTemperature(measured.peakTemperature!.value, 0.1612),
      6,
    );
    expect(measured.spotTemperature!.value).toBeGreaterThan(measured.peakTemperature!.value);
    // ρ/2a with 1/58 µΩ·m: 28 µm.
    expect(measured.spotRadius * 1e6).toBeCloseTo(27.8, 1);
  });

  it('keeps even the whole drop below the softening voltage up to the resistance it names', () => {
    const room = estimateHeat(FULL).largestResistance.forSoftening!;
    const at = (value: number): HeatRow => row(estimateHeat({ ...FULL, measured: { value } }), 'measured');
    expect(at(room * 0.999).softening).toBe('below');
    expect(at(room * 1.001).softening).toBe('possible');
  });

  it('compares the cold drop with the softening voltage where nothing tells how warm the contact is', () => {
    const { softening } = CONTACT_VOLTAGES.silver;
    const { forSoftening } = estimateHeat({ limit: 1e-3, peak: 520, plating: 'silver' }).largestResistance;
    expect(forSoftening! * 520).toBeCloseTo(softening, 8);
  });

  it('states when the body reaches the burn threshold, and the longest contact without a burn then', () => {
    // 180² A² · 0.31 mΩ = 10 W through 4 K/W above 40 °C: 80 °C. Above 65 °C even a second may burn (ISO 13732-1).
    const touch = measured.touch!;
    expect(touch.temperature.value).toBeCloseTo(313.15 + 4 * 10.044, 6);
    expect([touch.burnsAfter, touch.threshold]).toEqual([0, 338.15]);
    const { network } = estimateHeat(FULL).model;
    expect(riseAfter(network, AT_REST, 10.044, touch.time!).body).toBeCloseTo(25, 6);
    expect(touch.time).toBeGreaterThan(timeConstants(network).slow / 2);
    const clean = row(estimateHeat({ ...FULL, asNew: 0.15e-3 }), 'as-new').touch!;
    expect([clean.burnsAfter, clean.time]).toEqual([1, undefined]); // 59 °C
  });

  it('states the same of a duty cycle without a steady current', () => {
    const cycle = [
      { current: 180, duration: 86_400 },
      { current: 0, duration: 60 },
    ];
    const day = row(estimateHeat({ ...FULL, steady: undefined, cycle }), 'measured').touch!;
    expect(day.time).toBeCloseTo(measured.touch!.time!, 6);
    // The 25 K above 40 °C come in the second hour of a load of 4 W, which is 16 K, followed by 10 W.
    const rising = [
      { current: Math.sqrt(4 / 0.31e-3), duration: 3600 },
      { current: 180, duration: 86_400 },
    ];
    const { network } = estimateHeat(FULL).model;
    const late = row(estimateHeat({ ...FULL, steady: undefined, cycle: rising }), 'measured').touch!;
    const first = riseAfter(network, AT_REST, 4, 3600);
    expect(riseAfter(network, first, 10.044, late.time! - 3600).body).toBeCloseTo(25, 6);
  });
});

describe('the last word first', () => {
  const known = { steady: 180, limit: 0.8e-3 };
  it.each([
    [{ limit: 0.8e-3 }, 'undefined'],
    [
      { ...known, measured: { value: 0.31e-3, uncertainty: 0.02e-3 } },
      'below the limit by more than its uncertainty',
    ],
    [
      { ...known, measured: { value: 0.79e-3, uncertainty: 0.02e-3 } },
      'closer to the limit than its uncertainty, so undecided',
    ],
    [
      { ...known, measured: { value: 0.95e-3, uncertainty: 0.02e-3 }, steady: undefined },
      'above the limit by more than its uncertainty',
    ],
    [{ ...known, measured: { value: 0.8e-3 } }, 'not above the limit, with no uncertainty given'],
    [
      { ...known, measured: { value: 0.81e-3 }, steady: undefined },
      'above the limit, with no uncertainty given',
    ],
  ])('of %j is %s', (input, words) => {
    const said = String(heatVerdict(estimateHeat(input))).split('; ')[0];
    expect(said?.replace(/^As measured: [\d.]+ mΩ, /, '')).toBe(words);
  });
});

describe('an estimate from less', () => {
  it('has no rows without a resistance, and no columns without a current', () => {
    const nothing = estimateHeat({});
    expect(nothing.rows).toEqual([]);
    expect(nothing.largestResistance).toEqual({});
    expect(nothing.given).toEqual([]);
    expect(Object.keys(nothing)).not.toContain('clean');
    // The cable's rise is assumed as such where no cross-section tells what its surface decides.
    expect(nothing.assumptions.map((a) => a.key)).toEqual(
      Object.keys(ASSUMPTIONS).filter((key) => key !== 'cableSurface'),
    );

    const resistance = estimateHeat({ asNew: 0.2e-3 });
    expect(resistance.rows.map((r) => r.key)).toEqual(['as-new', 'dirt-10', 'dirt-100', 'dirt-1000']);
    expect(Object.keys(resistance.rows[0]!).sort()).toEqual([
      'beyondModel',
      'key',
      'reference',
      'resistance',
      'runaway',
      'spotRadius',
    ]);
  });

  it.each([
    { without: 'peakTime', gone: 'peakTemperature', left: 'peak' },
    { without: 'steady', gone: 'peakTemperature', left: 'peak' },
    { without: 'peak', gone: 'dropAtPeak', left: 'steadyTemperature' },
    { without: 'cableArea', gone: 'cableLength', left: 'steady' },
    { without: 'plating', gone: 'softening', left: 'dropAtPeak' },
    { without: 'temperatureClass', gone: 'peakTimeToClass', left: 'peakTemperature' },
  ] as const)('without $without there is no $gone', ({ without, gone, left }) => {
    const { rows, given } = estimateHeat({ ...FULL, [without]: undefined });
    for (const each of rows) {
      expect(each).not.toHaveProperty(gone);
      expect(each).toHaveProperty(left);
    }
    expect(given.map((g) => g.key)).not.toContain(without);
  });

  it('never invents a limit: without one there is no verdict and no largest resistance', () => {
    const estimate = estimateHeat({
      ...FULL,
      limit: undefined,
      budget: undefined,
      temperatureClass: undefined,
      plating: undefined,
    });
    expect(estimate).not.toHaveProperty('judgement');
    expect(estimate.largestResistance).toEqual({});
  });

  it.each([
    { measured: { value: 0.3e-3 }, asNew: 0.2e-3, limit: 0.5e-3, row: 'measured', resistance: 0.3e-3 },
    { asNew: 0.2e-3, limit: 0.5e-3, row: 'as-new', resistance: 0.2e-3 },
    { limit: 0.5e-3, row: 'limit', resistance: 0.5e-3 },
  ])('multiplies the best known clean resistance: $row', ({ row: from, resistance, ...input }) => {
    const estimate = estimateHeat(input);
    expect(estimate.clean).toEqual({ row: from, resistance });
    expect(row(estimate, 'dirt-100').resistance).toBeCloseTo(100 * resistance, 12);
  });

  it('lists every input that was given, with its unit', () => {
    const text = estimateHeat(FULL).given.map((g) => `${g.key} ${g.value} ${g.unit}`.trim());
    expect(text).toContain('peakTime 10 s');
    expect(text).toContain('measuredUncertainty 0.00002 Ω');
    expect(text).toContain('plating silver');
    expect(text).toContain('contactToBody 0.5 K/W');
  });
});

describe('the range that assumptions leave', () => {
  const between = (low: number, high: number): fc.Arbitrary<number> =>
    fc.integer({ min: 0, max: 1000 }).map((n) => low + ((high - low) * n) / 1000);

  // Below the temperature for which a resistance is stated, one that grows more with its temperature is the smaller one.
  it.each([
    ['assumed', undefined, 200],
    ['of a cold yard', 253.15, 60],
  ])(
    'holds every answer from values inside the ranges, and its ends are reached, in air %s',
    (_, air, steady) => {
      const assumed = {
        contactCapacity: between(ASSUMPTIONS.contactCapacity.low, ASSUMPTIONS.contactCapacity.high),
        bodyCapacity: between(ASSUMPTIONS.bodyCapacity.low, ASSUMPTIONS.bodyCapacity.high),
        contactToBody: between(ASSUMPTIONS.contactToBody.low, ASSUMPTIONS.contactToBody.high),
        bodyToSurroundings: between(ASSUMPTIONS.bodyToSurroundings.low, ASSUMPTIONS.bodyToSurroundings.high),
        coefficient: between(ASSUMPTIONS.coefficient.low, ASSUMPTIONS.coefficient.high),
        cableSurface: between(ASSUMPTIONS.cableSurface.low, ASSUMPTIONS.cableSurface.high),
        cableShare: between(ASSUMPTIONS.cableShare.low, ASSUMPTIONS.cableShare.high),
      };
      fc.assert(
        fc.property(
          fc.record(assumed),
          air === undefined ? between(ASSUMPTIONS.ambient.low, ASSUMPTIONS.ambient.high) : fc.constant(air),
          between(50, 600), // a peak below the steady current cools, and has its range too
          between(0.5, 600),
          fc.array(fc.record({ current: between(0, 600), duration: between(0.5, 4000) }), {
            minLength: 1,
            maxLength: 4,
          }),
          (thermal, ambient, peak, peakTime, pieces) => {
            const cycle = [{ current: 300, duration: 5 }, ...pieces];
            const load = {
              steady,
              peak,
              peakTime,
              cycle,
              asNew: 0.2e-3,
              cableArea: 70e-6,
              temperatureClass: 423.15,
            };
            const open = estimateHeat(air === undefined ? load : { ...load, ambient: air });
            const closed = estimateHeat({ ...load, ambient, thermal });
            const pairs = [
              ...open.rows.flatMap((r, i) => [
                [r.steadyTemperature!, closed.rows[i]!.steadyTemperature!],
                [r.peakTemperature!, closed.rows[i]!.peakTemperature!],
                [r.firstRoundTemperature!, closed.rows[i]!.firstRoundTemperature!],
                [r.cycleTemperature!, closed.rows[i]!.cycleTemperature!],
                [r.spotTemperature!, closed.rows[i]!.spotTemperature!],
                [r.touch!.temperature, closed.rows[i]!.touch!.temperature],
              ]),
              [open.largestResistance.forSteadyTemperature!, closed.largestResistance.forSteadyTemperature!],
              [open.largestResistance.forPeakTemperature!, closed.largestResistance.forPeakTemperature!],
              [open.largestResistance.forCycleTemperature!, closed.largestResistance.forCycleTemperature!],
            ] as const;
            // Nothing inside the ranges gets anywhere sooner than the earliest time says.
            open.rows.forEach((r, i) => {
              const inside = closed.rows[i]!;
              const times = [
                [r.earliest!.steadyTimeToClass, inside.steadyTimeToClass],
                [r.earliest!.cycleTimeToClass, inside.cycleTimeToClass],
                [r.touch!.earliest, inside.touch!.time],
              ] as const;
              for (const [earliest, time] of times) {
                if (time !== undefined) expect(time).toBeGreaterThanOrEqual(earliest! * (1 - 1e-9));
              }
            });
            for (const [range, inside] of pairs) {
              // Beyond any temperature the figures are only held where they still are numbers.
              const sensible = (value: number): number => Math.min(value, 1e6);
              expect(sensible(inside!.value)).toBeGreaterThanOrEqual(sensible(range!.low) * (1 - 1e-9));
              expect(sensible(inside!.value)).toBeLessThanOrEqual(sensible(range!.high) * (1 + 1e-9));
              if (!(range!.value < 1e6) || range!.value === 0) continue;
              expect(range!.low).toBeLessThan(range!.value);
              expect(range!.high).toBeGreaterThan(range!.value);
            }
          },
        ),
      );
    },
  );

  it('states a value inside its range and a reason for every assumption', () => {
    for (const [key, assumption] of Object.entries(ASSUMPTIONS)) {
      expect(assumption.key).toBe(key);
      expect(assumption.low).toBeLessThan(assumption.value);
      expect(assumption.value).toBeLessThan(assumption.high);
      expect(String(reasonText(assumption))).toMatch(/^assumed: \S/);
    }
    // The arithmetic of the reasons.
    expect(0.05 * 387).toBeCloseTo(ASSUMPTIONS.contactCapacity.value, -1);
    expect(0.3 * 1000).toBe(ASSUMPTIONS.bodyCapacity.value);
    expect(0.03 / (400 * 75e-6) / 2).toBeCloseTo(ASSUMPTIONS.contactToBody.value, 9);
    expect(1 / (10 * 0.025)).toBe(ASSUMPTIONS.bodyToSurroundings.value);
  });
});

describe('for any input', () => {
  const wild = fc.oneof(
    fc.double(),
    fc.constantFrom(0, -0, -1, Number.NaN, Infinity, -Infinity, 5e-324, 1e308, 1e12, 1e-12),
    fc.integer({ min: 1, max: 1000 }).map((n) => n / 100),
  );
  const maybe = fc.option(wild, { nil: undefined });
  const inputs: fc.Arbitrary<HeatInput> = fc.record(
    {
      steady: maybe,
      peak: maybe,
      peakTime: maybe,
      cycle: fc.array(fc.record({ current: wild, duration: wild }), { maxLength: 4 }),
      asNew: maybe,
      limit: maybe,
      measured: fc.record({ value: wild, uncertainty: maybe }),
      plating: fc.constantFrom('copper', 'silver', 'gold', 'tin', 'nickel', 'aluminium'),
      cableArea: maybe,
      temperatureClass: maybe,
      ambient: maybe,
      budget: maybe,
      thermal: fc.record({
        contactCapacity: maybe,
        bodyCapacity: maybe,
        contactToBody: maybe,
        bodyToSurroundings: maybe,
      }),
    },
    { requiredKeys: [] },
  );

  it('never throws, and every number in the answer is finite and not negative', () => {
    fc.assert(
      fc.property(inputs, (input) => {
        const walk = (value: unknown, path: string): void => {
          if (typeof value === 'number') {
            // A temperature, and the heat that goes with it, may have no end.
            const endless = value === Infinity && /[Tt]emperature|warm/.test(path);
            expect(Number.isFinite(value) || endless, `${path} is ${value}`).toBe(true);
            if (!/^\.judgement|^\.cycle\.pieces/.test(path)) expect(value, path).toBeGreaterThanOrEqual(0);
          } else if (typeof value === 'object' && value !== null) {
            for (const [key, each] of Object.entries(value)) walk(each, `${path}.${key}`);
          } else expect(value, path).toBeDefined();
        };
        walk(estimateHeat(input), '');
      }),
      { numRuns: 500 },
    );
  });

  it('gives more heat and higher temperature to more resistance and more current', () => {
    const amps = fc.integer({ min: 1, max: 600 });
    fc.assert(
      fc.property(amps, amps, fc.integer({ min: 1, max: 1000 }), (steady, more, micro) => {
        const load = { steady, peak: steady + more, peakTime: 10, asNew: micro * 1e-6, cableArea: 70e-6 };
        const { rows } = estimateHeat(load);
        const stronger = estimateHeat({ ...load, steady: steady + 1, peak: steady + more + 1 }).rows;
        rows.forEach((each, i) => {
          const next = rows[i + 1];
          for (const other of [stronger[i]!, ...(next ? [next] : [])]) {
            expect(other.steady).toBeGreaterThan(each.steady!);
            expect(other.peak).toBeGreaterThan(each.peak!);
            for (const name of ['steadyTemperature', 'peakTemperature'] as const) {
              if (each[name]!.value === Infinity) expect(other[name]!.value).toBe(Infinity);
              else expect(other[name]!.value).toBeGreaterThan(each[name]!.value);
            }
          }
          if (each.steadyTemperature!.value < Infinity)
            expect(each.peakTemperature!.value).toBeGreaterThan(each.steadyTemperature!.value);
        });
      }),
    );
  });
});
