/**
 * A contact whose resistance follows its temperature, against a general solver of differential equations (`odex`), the
 * closed form of the steady state and a Monte Carlo run over everything that is assumed.
 */
import fc from 'fast-check';
import { Solver } from 'odex';
import { describe, expect, it } from 'vitest';
import { assumptionFor } from '../../server/src/heat/assumptions.ts';
import type { AssumptionKey } from '../../server/src/heat/assumptions.ts';
import {
  cableBody,
  cableRiseAfter,
  hottestCableRise,
  steadyCableRise,
} from '../../server/src/heat/cable-rise.ts';
import { cycleTimeToRise, hottestIn, settledRise } from '../../server/src/heat/duty.ts';
import { estimateHeat } from '../../server/src/heat/estimate.ts';
import type { HeatInput } from '../../server/src/heat/estimate.ts';
import { AT_REST, riseAfter, steadyRise, timeToRise } from '../../server/src/heat/thermal.ts';
import type { HeatSegment, Rise, ThermalNetwork } from '../../server/src/heat/thermal.ts';
import { decades, networks } from './networks.ts';

const ALPHA = 0.00393;

/** C₁θ₁′ = heat + gain·θ₁ − …, by a solver that knows nothing of modes. */
function oracle(network: ThermalNetwork, start: Rise, segments: readonly HeatSegment[]): Rise {
  let y = [start.contact, start.body];
  for (const { heat, gain = 0, duration } of segments) {
    const solver = new Solver(2);
    solver.absoluteTolerance = solver.relativeTolerance = 1e-11;
    const derivative = (_: number, [contact, body]: number[]): number[] => {
      const flow = (contact! - body!) / network.contactToBody;
      return [
        (heat + gain * contact! - flow) / network.contactCapacity,
        (flow - body! / network.bodyToSurroundings) / network.bodyCapacity,
      ];
    };
    y = solver.solve(derivative, 0, y, duration).y;
  }
  return { contact: y[0]!, body: y[1]! };
}

const NETWORK: ThermalNetwork = {
  contactCapacity: 20,
  bodyCapacity: 300,
  contactToBody: 0.5,
  bodyToSurroundings: 4,
};
/** Share of the heat's growth at which nothing stops it, below and above one. */
const share = fc.double({ min: 0, max: 1.6, noNaN: true });
const gainOf = ({ contactToBody, bodyToSurroundings }: ThermalNetwork, part: number): number =>
  part / (contactToBody + bodyToSurroundings);

describe('heat that grows with the temperature of the contact', () => {
  it('agrees with a solver of differential equations, with and without a steady state', () => {
    const segment = fc.record({
      heat: fc.double({ min: 0, max: 100, noNaN: true }),
      share,
      duration: decades(0.1, 600),
    });
    fc.assert(
      fc.property(networks, fc.array(segment, { minLength: 1, maxLength: 3 }), (network, drawn) => {
        const segments = drawn.map(({ heat, share: part, duration }) => ({
          heat,
          gain: gainOf(network, part),
          duration,
        }));
        const exact = segments.reduce(
          (state, { heat, gain, duration }) => riseAfter(network, state, heat, duration, gain),
          AT_REST,
        );
        const stepped = oracle(network, AT_REST, segments);
        for (const part of ['contact', 'body'] as const)
          expect(Math.abs(exact[part] - stepped[part])).toBeLessThan(1e-6 * (1 + Math.abs(stepped[part])));
      }),
      { numRuns: 60 },
    );
  });

  it('ends at I²R₀Rth/(1 − αI²R₀Rth), and nowhere from αI²R₀Rth = 1 on', () => {
    const cold = 10.044; // 180 A through 0.31 mΩ
    const end = steadyRise(NETWORK, cold, ALPHA * cold);
    expect(end.contact).toBeCloseTo((cold * 4.5) / (1 - ALPHA * cold * 4.5), 9);
    const late = oracle(NETWORK, AT_REST, [{ heat: cold, gain: ALPHA * cold, duration: 40_000 }]);
    expect(late.contact / end.contact).toBeCloseTo(1, 6);
    expect(late.body / end.body).toBeCloseTo(1, 6);
    const critical = 1 / (ALPHA * 4.5);
    expect(steadyRise(NETWORK, 0.999 * critical, 0.999 * critical * ALPHA).contact).toBeLessThan(Infinity);
    expect(steadyRise(NETWORK, critical, critical * ALPHA).contact).toBe(Infinity);
    expect(steadyRise(NETWORK, 1.001 * critical, 1.001 * critical * ALPHA).contact).toBe(Infinity);
    // At the boundary the rise goes on without being exponential: the solver agrees.
    const straight = riseAfter(NETWORK, AT_REST, critical, 5000, critical * ALPHA);
    const stepped = oracle(NETWORK, AT_REST, [{ heat: critical, gain: critical * ALPHA, duration: 5000 }]);
    expect(straight.contact / stepped.contact).toBeCloseTo(1, 6);
  });

  it('finds the time to any rise where the contact keeps heating, and the right one', () => {
    fc.assert(
      fc.property(networks, share, decades(1, 500), decades(1, 2000), (network, part, heat, target) => {
        const gain = gainOf(network, part);
        const time = timeToRise(network, AT_REST, heat, target, 'contact', gain);
        const end = steadyRise(network, heat, gain).contact;
        if (time === undefined) {
          expect(end).toBeLessThanOrEqual(target);
          return;
        }
        expect(riseAfter(network, AT_REST, heat, time, gain).contact / target).toBeCloseTo(1, 6);
        expect(riseAfter(network, AT_REST, heat, 0.99 * time, gain).contact).toBeLessThan(target);
      }),
    );
  });

  it('settles in a duty cycle where the solver arrives, or keeps heating as it does', () => {
    const pieces = (cold: number): HeatSegment[] => [
      { heat: cold, gain: ALPHA * cold, duration: 300 },
      { heat: cold / 20, gain: (ALPHA * cold) / 20, duration: 600 },
    ];
    const mild = pieces(90);
    let state = AT_REST;
    for (let round = 0; round < 60; round++) state = oracle(NETWORK, state, mild);
    const settled = settledRise(NETWORK, mild);
    expect(state.contact / settled.contact).toBeCloseTo(1, 5);
    expect(state.body / settled.body).toBeCloseTo(1, 5);

    const wild = pieces(200);
    expect(settledRise(NETWORK, wild)).toEqual({ contact: Infinity, body: Infinity });
    let [last, growth] = [0, 0];
    state = AT_REST;
    for (let round = 0; round < 12; round++) {
      state = oracle(NETWORK, state, wild);
      growth = state.contact - last;
      last = state.contact;
    }
    expect(oracle(NETWORK, state, wild).contact - last).toBeGreaterThan(growth);
    // It gets everywhere, and the way there is found.
    const time = cycleTimeToRise(NETWORK, wild, 2000)!;
    const rounds = Math.floor(time / 900);
    state = AT_REST;
    for (let round = 0; round < rounds; round++) state = oracle(NETWORK, state, wild);
    expect(state.contact).toBeLessThan(2000);
    expect(hottestIn(NETWORK, state, wild)).toBeGreaterThanOrEqual(2000 * (1 - 1e-6));
  });
});

describe('the rise of a cable', () => {
  const cable = cableBody(50e-6, 313.15, 10);
  const solved = (pieces: readonly { current: number; duration: number }[], start = 0): number => {
    let y = [start];
    for (const { current, duration } of pieces) {
      const solver = new Solver(1);
      solver.absoluteTolerance = solver.relativeTolerance = 1e-11;
      const heat = current ** 2 * cable.resistance;
      const derivative = (_: number, [rise]: number[]): number[] => [
        (heat * (1 + cable.coefficient * rise!) - cable.loss * rise!) / cable.capacity,
      ];
      y = solver.solve(derivative, 0, y, duration).y;
    }
    return y[0]!;
  };

  it('agrees with a solver of differential equations, steady, for a time and in a cycle', () => {
    expect(steadyCableRise(cable, 180)).toBeCloseTo(solved([{ current: 180, duration: 20_000 }]), 6);
    expect(cableRiseAfter(cable, 30, 520, 60)).toBeCloseTo(solved([{ current: 520, duration: 60 }], 30), 6);
    const cycle = [
      { current: 300, duration: 900 },
      { current: 0, duration: 1800 },
    ];
    let [rise, hottest] = [0, 0];
    for (let round = 0; round < 20; round++) {
      hottest = solved([cycle[0]!], rise);
      rise = solved([cycle[1]!], hottest);
    }
    expect(hottestCableRise(cable, cycle)).toBeCloseTo(hottest, 6);
  });

  it('is of the size that current ratings of single cables in air give', () => {
    // 50 mm² copper in air of 30 °C reaches 70 °C at about 150 to 200 A (common practice, no source).
    expect(steadyCableRise(cableBody(50e-6, 303.15, 10), 180)).toBeGreaterThan(20);
    expect(steadyCableRise(cableBody(50e-6, 303.15, 10), 180)).toBeLessThan(50);
    expect(steadyCableRise(cable, 2000)).toBe(Infinity);
    expect(hottestCableRise(cable, [{ current: 0, duration: 10 }])).toBe(0);
  });
});

describe('an estimate of a warm contact', () => {
  const SAMPLE: HeatInput = {
    steady: 180,
    peak: 520,
    peakTime: 10,
    asNew: 0.15e-3,
    limit: 0.5e-3,
    measured: { value: 0.31e-3 },
    cableArea: 50e-6,
    temperatureClass: 398.15,
    cycle: [
      { current: 480, duration: 10 },
      { current: 120, duration: 60 },
      { current: -200, duration: 10 },
      { current: 0, duration: 40 },
    ],
  };

  const { cableArea: _, ...UNKNOWN_CABLE } = SAMPLE;

  // Where StrykerJS counts each expression, the draws take minutes.
  const mutated = process.env['STRYKER_MUTATOR_WORKER'] !== undefined;
  it.skipIf(mutated).each<{ what: string; input: HeatInput; draws: number }>([
    { what: 'with its cable', input: SAMPLE, draws: 2000 },
    { what: 'with a cable that nobody describes', input: UNKNOWN_CABLE, draws: 500 },
    {
      what: 'with two poles, beside a drive unit',
      input: { ...SAMPLE, zone: 'motor-bay', poles: 2 },
      draws: 500,
    },
  ])(
    '$what has the temperatures inside the printed range for 99 % of draws of all assumptions',
    ({ input, draws }) => {
      const open = estimateHeat(input);
      // Park and Miller's minimal standard generator; draws spread evenly over the logarithm of each range.
      let seed = 20_270_218;
      const uniform = (): number => (seed = (seed * 48_271) % 2_147_483_647) / 2_147_483_647;
      const draw = (key: AssumptionKey): number => {
        const { low, high } = assumptionFor(key, input.zone);
        return low * (high / low) ** uniform();
      };
      // An assumed value of the body is for each contact, a stated one for the whole body.
      const poles = input.poles ?? 1;
      const names = [
        'steadyTemperature',
        'peakTemperature',
        'firstRoundTemperature',
        'cycleTemperature',
      ] as const;
      let [inside, asked, above] = [0, 0, 0];
      for (let i = 0; i < draws; i++) {
        const { rows, assumptions } = estimateHeat({
          ...input,
          ambient: draw('ambient'),
          thermal: {
            coefficient: draw('coefficient'),
            ...(input.cableArea === undefined
              ? { cableRise: draw('cableRise') }
              : { cableSurface: draw('cableSurface') }),
            cableShare: draw('cableShare'),
            contactCapacity: draw('contactCapacity'),
            bodyCapacity: draw('bodyCapacity') * poles,
            contactToBody: draw('contactToBody'),
            bodyToSurroundings: draw('bodyToSurroundings') / poles,
          },
        });
        expect(assumptions).toEqual([]);
        rows.forEach((row, at) => {
          for (const name of names) {
            const { low, value, high } = open.rows[at]![name]!;
            const drawn = row[name]!.value;
            asked++;
            if (drawn >= low && drawn <= high) inside++;
            if (drawn > value) above++;
          }
        });
      }
      expect(asked).toBe(draws * 6 * names.length);
      expect(inside / asked).toBeGreaterThanOrEqual(0.99);
      // The assumed values are no end of the range: some draws are warmer, some cooler.
      expect(above / asked).toBeGreaterThan(0.05);
      expect(above / asked).toBeLessThan(0.8);
    },
    60_000,
  );

  /** Nothing assumed, the cable cold: a steady rise can be worked by hand. */
  const KNOWN: HeatInput = {
    steady: 180,
    asNew: 0.31e-3,
    ambient: 313.15,
    thermal: { ...NETWORK, coefficient: ALPHA, cableRise: 1e-12, cableShare: 1e-12 },
  };
  const steadyOf = (input: HeatInput): number => estimateHeat(input).rows[0]!.steadyTemperature!.value;

  it('takes a resistance at the temperature for which it is stated', () => {
    // At 40 °C the resistance is 1 + 0.00393·20 times that at 20 °C.
    const at40 = 10.044 * (1 + ALPHA * 20);
    expect(steadyOf(KNOWN)).toBeCloseTo(313.15 + (at40 * 4.5) / (1 - ALPHA * 10.044 * 4.5), 6);
    // The same ohms, stated for 40 °C, are fewer.
    expect(steadyOf({ ...KNOWN, reference: 313.15 })).toBeCloseTo(
      313.15 + (10.044 * 4.5) / (1 - ALPHA * 10.044 * 4.5),
      6,
    );
    const read = (at?: number): number =>
      estimateHeat({ ...KNOWN, measured: { value: 0.31e-3, ...(at === undefined ? {} : { at }) } }).rows.find(
        ({ key }) => key === 'measured',
      )!.steadyTemperature!.value;
    expect(read()).toBe(steadyOf(KNOWN));
    expect(read(313.15)).toBe(steadyOf({ ...KNOWN, reference: 313.15 }));
    expect(read(283.15)).toBeGreaterThan(read());
  });

  it('keeps the heat of the stated resistance as its first figure', () => {
    // Common practice, no source: 300 A through 1 mΩ 90 W, 10 mΩ 900 W, 0.1 Ω 9 kW, 1 Ω 90 kW.
    const { rows } = estimateHeat({ steady: 300, asNew: 1e-3 });
    expect(rows.map(({ steady }) => Math.round(steady!))).toEqual([90, 900, 9000, 90_000]);
    expect(rows[0]!.warmSteady!.value).toBeGreaterThan(90);
  });

  it.each([
    // 1/(α·180²·4.5 K/W) = 1.745 mΩ, stated for 20 °C.
    { milliohm: 1.74, runaway: 'none' },
    { milliohm: 1.75, runaway: 'certain' },
  ])('at $milliohm mΩ: $runaway', ({ milliohm, runaway }) => {
    const [row] = estimateHeat({ ...KNOWN, asNew: milliohm * 1e-3 }).rows;
    expect(row!.runaway).toBe(runaway);
    expect(row!.steadyTemperature!.value === Infinity).toBe(runaway === 'certain');
  });

  it('says by the range whether there is a steady temperature', () => {
    const at = (milliohm: number) => estimateHeat({ steady: 180, asNew: milliohm * 1e-3 }).rows[0]!.runaway;
    expect([0.2, 1, 2, 10].map(at)).toEqual(['none', 'possible', 'expected', 'certain']);
  });

  it('counts a reversed current by its magnitude everywhere', () => {
    const forward = estimateHeat({ ...SAMPLE, plating: 'silver' });
    expect(estimateHeat({ ...SAMPLE, plating: 'silver', steady: -180, peak: -520 })).toEqual(forward);
  });

  it('has as many contacts on its body as it has poles, where the values of the body are its own', () => {
    const two = steadyOf({ ...KNOWN, poles: 2 });
    expect(two).toBe(
      steadyOf({ ...KNOWN, thermal: { ...KNOWN.thermal, bodyToSurroundings: 8, bodyCapacity: 150 } }),
    );
    expect(steadyOf({ ...KNOWN, usualPoles: 2 })).toBe(two);
    // Assumed values are of each contact: the number changes nothing.
    expect(steadyOf({ steady: 180, asNew: 0.31e-3, usualPoles: 2 })).toBe(
      steadyOf({ steady: 180, asNew: 0.31e-3 }),
    );
    // The budget is the connector's: stated poles share it.
    const room = (poles?: number): number =>
      estimateHeat({ ...KNOWN, budget: 20, ...(poles ? { poles } : {}) }).largestResistance.forBudget!;
    expect(room() / room(2)).toBeCloseTo(2, 12);
  });

  it('assumes warmer air beside a drive unit', () => {
    expect(steadyOf({ steady: 180, asNew: 0.2e-3, zone: 'motor-bay' })).toBeGreaterThan(
      steadyOf({ steady: 180, asNew: 0.2e-3, zone: 'rear-floor' }) + 15,
    );
  });

  it('adds the rise of its cable, by its share', () => {
    const warm = { ...KNOWN, thermal: { ...NETWORK, coefficient: 1e-12, cableRise: 30, cableShare: 0.5 } };
    expect(steadyOf(warm)).toBeCloseTo(313.15 + 15 + 10.044 * 4.5, 6);
  });
});
