import fc from 'fast-check';
import { Solver } from 'odex';
import { describe, expect, it } from 'vitest';
import { resistanceForHeat } from '../../server/src/heat/budget.ts';
import { jouleHeat } from '../../server/src/heat/joule.ts';
import {
  AT_REST,
  lumpedTemperature,
  lumpedTime,
  riseAfter,
  steadyRise,
  timeConstants,
  timeToRise,
} from '../../server/src/heat/thermal.ts';
import type { HeatSegment, Rise, ThermalNetwork } from '../../server/src/heat/thermal.ts';
import { decades, networks, riseThrough } from './networks.ts';

const tenths = (min: number, max: number): fc.Arbitrary<number> =>
  fc.integer({ min: 10 * min, max: 10 * max }).map((n) => n / 10);
const rise = tenths(-50, 200);
const states: fc.Arbitrary<Rise> = fc.record({ contact: rise, body: rise });
const heat = tenths(0, 200);
const time = decades(0.1, 3600);
const piece: fc.Arbitrary<HeatSegment> = fc.record({ heat, duration: time });

const NETWORK: ThermalNetwork = {
  contactCapacity: 20,
  bodyCapacity: 300,
  contactToBody: 0.5,
  bodyToSurroundings: 4,
};

/** K per watt switched on at rest. */
const contactStep = (network: ThermalNetwork, duration: number): number =>
  riseAfter(network, AT_REST, 1, duration).contact;

/** The same network by a general solver of differential equations. */
function oracle(network: ThermalNetwork, start: Rise, pieces: readonly HeatSegment[]): Rise {
  let y = [start.contact, start.body];
  for (const { heat: power, duration } of pieces) {
    const solver = new Solver(2);
    solver.absoluteTolerance = solver.relativeTolerance = 1e-10;
    const derivative = (_: number, [contact, body]: number[]): number[] => {
      const flow = (contact! - body!) / network.contactToBody;
      return [
        (power - flow) / network.contactCapacity,
        (flow - body! / network.bodyToSurroundings) / network.bodyCapacity,
      ];
    };
    y = solver.solve(derivative, 0, y, duration).y;
  }
  return { contact: y[0]!, body: y[1]! };
}

describe('two-body network', () => {
  it('agrees with a solver of differential equations', () => {
    fc.assert(
      fc.property(
        networks,
        states,
        fc.array(piece, { minLength: 1, maxLength: 3 }),
        (network, start, pieces) => {
          const exact = riseThrough(network, start, pieces);
          const stepped = oracle(network, start, pieces);
          expect(exact.contact).toBeCloseTo(stepped.contact, 5);
          expect(exact.body).toBeCloseTo(stepped.body, 5);
        },
      ),
      { numRuns: 40 },
    );
  });

  it('conserves energy: the heat input is stored or passed to the surroundings', () => {
    fc.assert(
      fc.property(networks, states, heat, time, (network, start, power, duration) => {
        const { contactCapacity: c1, bodyCapacity: c2, bodyToSurroundings: r2 } = network;
        const end = riseAfter(network, start, power, duration);
        const stored = c1 * (end.contact - start.contact) + c2 * (end.body - start.body);
        const gone = power * duration - stored;
        // Simpson's rule over the body's course, fine enough for the fast mode.
        const steps = 2 * Math.ceil(20 * (1 + Math.min(duration / timeConstants(network).fast, 50)));
        const at = (i: number): number => riseAfter(network, start, power, (i * duration) / steps).body / r2;
        let sum = at(0) + at(steps);
        for (let i = 1; i < steps; i++) sum += at(i) * (i % 2 ? 4 : 2);
        const scale =
          Math.abs(power * duration) + c1 * Math.abs(start.contact) + c2 * Math.abs(start.body) + 1;
        expect(((sum * duration) / steps / 3 - gone) / scale).toBeCloseTo(0, 3);
      }),
      { numRuns: 60 },
    );
  });

  it('ends in the steady state, which is heat times resistance', () => {
    fc.assert(
      fc.property(networks, states, heat, (network, start, power) => {
        const end = riseAfter(network, start, power, 60 * timeConstants(network).slow);
        const steady = steadyRise(network, power);
        expect(end.contact).toBeCloseTo(steady.contact, 6);
        expect(end.body).toBeCloseTo(steady.body, 6);
        expect(steady.contact).toBeCloseTo(power * (network.contactToBody + network.bodyToSurroundings), 9);
      }),
    );
  });

  it('splitting an interval of constant heat changes nothing', () => {
    fc.assert(
      fc.property(networks, states, heat, time, time, (network, start, power, one, other) => {
        const whole = riseAfter(network, start, power, one + other);
        const halves = riseThrough(network, start, [
          { heat: power, duration: one },
          { heat: power, duration: other },
        ]);
        expect(halves.contact).toBeCloseTo(whole.contact, 6);
        expect(halves.body).toBeCloseTo(whole.body, 6);
      }),
    );
  });

  it('has time constants whose sum is that of the open circuits, and which bracket the parts', () => {
    fc.assert(
      fc.property(networks, (network) => {
        const { contactCapacity: c1, bodyCapacity: c2, contactToBody: r12, bodyToSurroundings: r2 } = network;
        const { fast, slow } = timeConstants(network);
        expect((fast + slow) / (c1 * (r12 + r2) + c2 * r2)).toBeCloseTo(1, 12);
        expect(fast).toBeLessThanOrEqual(c1 * r12);
        expect(slow).toBeGreaterThanOrEqual(c2 * r2);
      }),
    );
    expect(() => timeConstants({ ...NETWORK, contactToBody: 0 })).toThrow(RangeError);
    expect(() => timeConstants({ ...NETWORK, bodyCapacity: Number.NaN })).toThrow(RangeError);
  });

  it('distinguishes a ten-second peak from an hour of the same current', () => {
    const peak = riseAfter(NETWORK, AT_REST, 100, 10).contact;
    const hour = riseAfter(NETWORK, AT_REST, 100, 3600).contact;
    // In ten seconds 100 W bring 1000 J: under 50 K even if all stayed in the contact.
    expect(peak).toBeLessThan(1000 / NETWORK.contactCapacity);
    expect(hour).toBeGreaterThan(0.9 * 100 * 4.5);
  });

  it('warms with both resistances and cools with both capacities, at every moment', () => {
    fc.assert(
      fc.property(networks, time, decades(1.01, 3), (network, duration, factor) => {
        const step = contactStep(network, duration);
        for (const key of ['contactToBody', 'bodyToSurroundings'] as const) {
          expect(contactStep({ ...network, [key]: network[key] * factor }, duration)).toBeGreaterThan(
            step * (1 - 1e-9),
          );
        }
        for (const key of ['contactCapacity', 'bodyCapacity'] as const) {
          expect(contactStep({ ...network, [key]: network[key] * factor }, duration)).toBeLessThan(
            step * (1 + 1e-9),
          );
        }
      }),
    );
  });
});

describe('time to a rise', () => {
  it('is the first moment at which the contact reaches the rise', () => {
    fc.assert(
      fc.property(networks, states, heat, tenths(-60, 800), (network, start, power, target) => {
        const found = timeToRise(network, start, power, target);
        const { fast, slow } = timeConstants(network);
        const slack =
          1e-9 * (1 + Math.abs(target) + Math.abs(start.contact) + Math.abs(start.body) + 10 * power);
        const side = (t: number): number => {
          const over = riseAfter(network, start, power, t).contact - target;
          return Math.abs(over) < slack ? 0 : Math.sign(over);
        };
        const horizon = found ?? 40 * slow;
        if (found !== undefined) expect(side(found)).toBe(0);
        // Nowhere before it does the contact change sides.
        for (const share of [1e-4, 1e-3, 0.01, 0.1, 0.3, 0.6, 0.9, 0.999]) {
          for (const moment of [share * horizon, share * Math.min(horizon, 5 * fast)]) {
            expect([side(0), 0]).toContain(side(moment));
          }
        }
      }),
    );
  });

  it('sees a contact that dips before it warms again', () => {
    // A hot contact on a cold body falls at first, then follows the body up.
    const start = { contact: 40, body: 0 };
    const dips = timeToRise(NETWORK, start, 20, 20)!;
    expect(dips).toBeGreaterThan(0);
    expect(riseAfter(NETWORK, start, 20, dips + 1).contact).toBeLessThan(20);
    expect(riseAfter(NETWORK, start, 20, 3600).contact).toBeGreaterThan(20);
  });

  it('is undefined for a rise that is only approached, and zero for the starting rise', () => {
    expect(timeToRise(NETWORK, AT_REST, 10, 45)).toBeUndefined();
    expect(timeToRise(NETWORK, AT_REST, 10, 46)).toBeUndefined();
    expect(timeToRise(NETWORK, AT_REST, 10, -1)).toBeUndefined();
    expect(timeToRise(NETWORK, { contact: 7, body: 0 }, 10, 7)).toBe(0);
    expect(timeToRise(NETWORK, AT_REST, 10, 44.9)).toBeGreaterThan(timeConstants(NETWORK).slow);
  });
});

describe('one body', () => {
  it('equals the network with a contact of negligible capacity and resistance', () => {
    const thin: ThermalNetwork = {
      contactCapacity: 1e-9,
      bodyCapacity: 300,
      contactToBody: 1e-6,
      bodyToSurroundings: 4,
    };
    fc.assert(
      fc.property(heat, time, (power, duration) => {
        expect(riseAfter(thin, AT_REST, power, duration).body).toBeCloseTo(
          lumpedTemperature(0, 4 * power, 1200, duration),
          5,
        );
      }),
    );
  });

  it('inverts the rise, and is undefined for a rise never reached', () => {
    fc.assert(
      fc.property(rise, rise, decades(1, 1e4), decades(0.1, 3), (start, end, tau, share) => {
        fc.pre(Math.abs(start - end) > 1e-3);
        const there = lumpedTemperature(start, end, tau, share * tau);
        expect(lumpedTime(start, end, tau, there)! / tau).toBeCloseTo(share, 6);
      }),
    );
    expect(lumpedTime(20, 60, 100, 60)).toBeUndefined();
    expect(lumpedTime(20, 60, 100, 10)).toBeUndefined();
    expect(lumpedTime(20, 20, 100, 30)).toBeUndefined();
    expect(lumpedTime(20, 60, 100, 20)).toBe(0);
  });
});

describe('largest resistance', () => {
  it('gives back exactly the heat budget', () => {
    fc.assert(
      fc.property(decades(0.1, 1e3), decades(1, 1e3), (budget, current) => {
        expect(jouleHeat(current, resistanceForHeat(budget, current)) / budget).toBeCloseTo(1, 12);
      }),
    );
  });
});
