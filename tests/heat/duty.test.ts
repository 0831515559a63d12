import fc from 'fast-check';
import { Solver } from 'odex';
import { describe, expect, it } from 'vitest';
import { cycleTimeToRise, hottestIn, settledRise } from '../../server/src/heat/duty.ts';
import {
  AT_REST,
  lumpedTemperature,
  riseAfter,
  steadyRise,
  timeConstants,
} from '../../server/src/heat/thermal.ts';
import type { HeatSegment, Rise, ThermalNetwork } from '../../server/src/heat/thermal.ts';
import { decades, networks, riseThrough } from './networks.ts';

const heat = fc.integer({ min: 0, max: 2000 }).map((tenths) => tenths / 10);
const cycles: fc.Arbitrary<HeatSegment[]> = fc
  .array(fc.record({ heat, duration: decades(0.1, 3600) }), { minLength: 1, maxLength: 5 })
  .filter((pieces) => pieces.some((piece) => piece.heat > 0));

const length = (cycle: readonly HeatSegment[]): number =>
  cycle.reduce((sum, { duration }) => sum + duration, 0);
const meanHeat = (cycle: readonly HeatSegment[]): number =>
  cycle.reduce((sum, piece) => sum + piece.heat * piece.duration, 0) / length(cycle);

const NETWORK: ThermalNetwork = {
  contactCapacity: 20,
  bodyCapacity: 300,
  contactToBody: 0.5,
  bodyToSurroundings: 4,
};
/** City driving: hard acceleration, rolling, standing. */
const CITY: readonly HeatSegment[] = [
  { heat: 84, duration: 8 },
  { heat: 3, duration: 40 },
  { heat: 0, duration: 20 },
];

describe('heat that repeats', () => {
  it('settles where a differential-equation solver arrives after many rounds', () => {
    const cycle: readonly HeatSegment[] = [
      { heat: 100, duration: 300 },
      { heat: 5, duration: 600 },
    ];
    let y = [0, 0];
    for (let round = 0; round < 12; round++) {
      for (const { heat: power, duration } of cycle) {
        const solver = new Solver(2);
        solver.absoluteTolerance = solver.relativeTolerance = 1e-10;
        y = solver.solve(
          (_: number, [contact, body]: number[]): number[] => {
            const flow = (contact! - body!) / NETWORK.contactToBody;
            return [
              (power - flow) / NETWORK.contactCapacity,
              (flow - body! / NETWORK.bodyToSurroundings) / NETWORK.bodyCapacity,
            ];
          },
          0,
          y,
          duration,
        ).y;
      }
    }
    const settled = settledRise(NETWORK, cycle);
    // Twelve rounds are nine of the slow time constant: 1e-4 of the way is left.
    expect(y[0]! / settled.contact).toBeCloseTo(1, 3);
    expect(y[1]! / settled.body).toBeCloseTo(1, 3);
  });

  it('is back where it was after every round, and in between gives off what it takes in', () => {
    fc.assert(
      fc.property(networks, cycles, (network, cycle) => {
        const start = settledRise(network, cycle);
        const end = riseThrough(network, start, cycle);
        const scale = 1e-9 * (1 + steadyRise(network, 200).contact);
        expect(Math.abs(end.contact - start.contact)).toBeLessThan(scale);
        expect(Math.abs(end.body - start.body)).toBeLessThan(scale);
        // What goes out is the body's mean rise through its resistance; Simpson's rule, fine enough for the fast mode.
        let state = start;
        let gone = 0;
        for (const piece of cycle) {
          const steps = 2 * Math.ceil(10 * (1 + Math.min(piece.duration / timeConstants(network).fast, 50)));
          for (let i = 0; i <= steps; i++) {
            const weight = i === 0 || i === steps ? 1 : i % 2 ? 4 : 2;
            const { body } = riseAfter(network, state, piece.heat, (i * piece.duration) / steps);
            gone += ((weight * piece.duration) / steps / 3) * (body / network.bodyToSurroundings);
          }
          state = riseAfter(network, state, piece.heat, piece.duration);
        }
        expect(gone / (meanHeat(cycle) * length(cycle))).toBeCloseTo(1, 2);
        const peak = hottestIn(network, start, cycle);
        expect(peak).toBeGreaterThanOrEqual(steadyRise(network, meanHeat(cycle)).contact * (1 - 1e-9));
        const most = Math.max(...cycle.map((piece) => piece.heat));
        expect(peak).toBeLessThanOrEqual(steadyRise(network, most).contact * (1 + 1e-9));
      }),
    );
  });

  it('is the steady state when it never changes, or changes faster than anything can follow', () => {
    fc.assert(
      fc.property(networks, cycles, heat, (network, cycle, power) => {
        const steady = steadyRise(network, power);
        const constant = cycle.map(({ duration }) => ({ heat: power, duration }));
        expect(settledRise(network, constant).contact).toBeCloseTo(steady.contact, 8);
        expect(hottestIn(network, settledRise(network, constant), constant)).toBeCloseTo(steady.contact, 8);

        const quick = cycle.map((piece) => ({ ...piece, duration: (1e-9 * piece.duration) / length(cycle) }));
        const mean = steadyRise(network, meanHeat(cycle));
        const settled = settledRise(network, quick);
        expect(settled.contact / mean.contact).toBeCloseTo(1, 6);
        expect(settled.body / mean.body).toBeCloseTo(1, 6);
      }),
    );
  });

  it('is hottest where the finest sampling finds it, even inside a piece', () => {
    fc.assert(
      fc.property(
        networks,
        cycles,
        fc.record({ contact: heat, body: heat }),
        (network, cycle, start: Rise) => {
          const most = hottestIn(network, start, cycle);
          let sampled = start.contact;
          let state = start;
          for (const piece of cycle) {
            for (let i = 1; i <= 400; i++) {
              const moment = piece.duration * (i / 400) ** 3;
              sampled = Math.max(sampled, riseAfter(network, state, piece.heat, moment).contact);
            }
            state = riseAfter(network, state, piece.heat, piece.duration);
          }
          expect(most).toBeGreaterThanOrEqual(sampled - 1e-9 * (1 + sampled));
          expect(most).toBeLessThanOrEqual(sampled + 0.01 * (1 + sampled));
        },
      ),
    );
    // A cold contact on a hot body: warmed by it, then both cool. Hotter inside than at either end.
    const start = { contact: 0, body: 100 };
    const piece = { heat: 0, duration: 600 };
    expect(hottestIn(NETWORK, start, [piece])).toBeGreaterThan(80);
    expect(riseThrough(NETWORK, start, [piece]).contact).toBeLessThan(65);
  });

  it('never warms more in its first round than once it has settled, and grows with every heat', () => {
    fc.assert(
      fc.property(networks, cycles, fc.nat(4), decades(1.01, 3), (network, cycle, which, factor) => {
        const settled = hottestIn(network, settledRise(network, cycle), cycle);
        expect(hottestIn(network, AT_REST, cycle)).toBeLessThanOrEqual(settled * (1 + 1e-9));
        const more = cycle.map((piece, i) =>
          i === which % cycle.length ? { ...piece, heat: piece.heat * factor } : piece,
        );
        expect(hottestIn(network, settledRise(network, more), more)).toBeGreaterThanOrEqual(
          settled * (1 - 1e-9),
        );
      }),
    );
  });

  it('is not its mean: half a minute of heat is hotter than its mean heat for ever', () => {
    const settled = hottestIn(NETWORK, settledRise(NETWORK, CITY), CITY);
    const mean = steadyRise(NETWORK, meanHeat(CITY)).contact;
    expect(settled).toBeGreaterThan(1.3 * mean);
  });

  it.each([
    [[]],
    [[{ heat: 1, duration: 0 }]],
    [[{ heat: 1, duration: -1 }]],
    [[{ heat: 1, duration: NaN }]],
  ])('rejects a cycle of zero duration: %j', (cycle) => {
    expect(() => settledRise(NETWORK, cycle)).toThrow(RangeError);
    expect(() => cycleTimeToRise(NETWORK, cycle, 1)).toThrow(RangeError);
  });
});

describe('time to a rise in a repeating cycle', () => {
  it('is the first moment at which following the rounds one by one gets there', () => {
    fc.assert(
      // At exactly 100 % the last bit of the target decides between a time far off and never.
      fc.property(
        networks,
        cycles,
        fc.oneof(fc.integer({ min: 1, max: 99 }), fc.integer({ min: 101, max: 120 })),
        (network, cycle, percent) => {
          const settled = hottestIn(network, settledRise(network, cycle), cycle);
          const target = (settled * percent) / 100;
          const found = cycleTimeToRise(network, cycle, target);
          if (percent > 100) {
            expect(found).toBeUndefined();
            return;
          }
          const rounds = Math.floor(found! / length(cycle));
          fc.pre(rounds < 400);
          let state = AT_REST;
          let before = 0;
          for (let i = 0; i < rounds; i++) {
            before = Math.max(before, hottestIn(network, state, cycle));
            state = riseThrough(network, state, cycle);
          }
          let left = found! - rounds * length(cycle);
          for (const piece of cycle) {
            const duration = Math.min(piece.duration, left);
            before = Math.max(before, hottestIn(network, state, [{ ...piece, duration: 0.999 * duration }]));
            state = riseAfter(network, state, piece.heat, duration);
            left -= duration;
            if (left <= 0) break;
          }
          expect(state.contact / target).toBeCloseTo(1, 5);
          expect(before).toBeLessThanOrEqual(target * (1 + 1e-6));
        },
      ),
    );
  });

  it('needs no walk through a million rounds', () => {
    const blink: readonly HeatSegment[] = [
      { heat: 100, duration: 1e-3 },
      { heat: 0, duration: 1e-3 },
    ];
    const { slow } = timeConstants(NETWORK);
    // 50 W on average, 225 K in the end; nearly one body of 1/slow.
    const time = cycleTimeToRise(NETWORK, blink, 150)!;
    expect(Math.abs(lumpedTemperature(25, 225, slow, time) - 150)).toBeLessThan(5);
  });
});
