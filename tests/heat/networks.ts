import fc from 'fast-check';
import { riseAfter } from '../../server/src/heat/thermal.ts';
import type { HeatSegment, Rise, ThermalNetwork } from '../../server/src/heat/thermal.ts';

/** Spread evenly over the decades, as sizes of connectors are. */
export const decades = (min: number, max: number): fc.Arbitrary<number> =>
  fc.double({ min: Math.log(min), max: Math.log(max), noNaN: true }).map(Math.exp);

/** Connectors of all sizes. */
export const networks: fc.Arbitrary<ThermalNetwork> = fc.record({
  contactCapacity: decades(1, 100),
  bodyCapacity: decades(50, 2000),
  contactToBody: decades(0.05, 5),
  bodyToSurroundings: decades(0.5, 20),
});

/** The rise at the end of a row of pieces. */
export const riseThrough = (network: ThermalNetwork, start: Rise, pieces: readonly HeatSegment[]): Rise =>
  pieces.reduce((state, { heat, duration }) => riseAfter(network, state, heat, duration), start);
