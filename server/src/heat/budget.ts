/**
 * Temperature rise per ohm of contact resistance, and the inverse: the resistance that a heat or temperature
 * leave room for. Rises are proportional to the resistance, so one number serves both ways. SI units.
 */
import { hottestIn, settledRise } from './duty.ts';
import { jouleHeat } from './joule.ts';
import type { CurrentSegment } from './joule.ts';
import { AT_REST, contactStep, steadyRise } from './thermal.ts';
import type { HeatSegment, ThermalNetwork } from './thermal.ts';

/** Largest resistance in Ω that keeps `budget` W at `current` A: P/I². Infinite without current. */
export function resistanceForHeat(budget: number, current: number): number {
  return budget / (current * current);
}

export interface Load {
  /** A */
  readonly steady: number;
  /** A of a peak that follows the steady current, and s that it lasts */
  readonly peak?: number;
  readonly peakTime?: number;
}

/**
 * Rise in K of the contact per ohm of contact resistance: at the end of the peak when there is one, else after a long
 * time at the steady current.
 */
export function risePerOhm(network: ThermalNetwork, { steady, peak, peakTime }: Load): number {
  const long = steadyRise(network, jouleHeat(steady, 1)).contact;
  if (peak === undefined || peakTime === undefined) return long;
  return long + (jouleHeat(peak, 1) - jouleHeat(steady, 1)) * contactStep(network, peakTime);
}

/** The heat of a duty cycle in `resistance` Ω. */
export function heatOfCycle(cycle: readonly CurrentSegment[], resistance: number): HeatSegment[] {
  return cycle.map(({ current, duration }) => ({ heat: jouleHeat(current, resistance), duration }));
}

/**
 * Highest rise in K per ohm of the contact (or of the `part` asked for) in a round of a duty cycle: in the first from
 * rest, or once it has settled. Errors as for `settledRise`.
 */
export function cycleRisePerOhm(
  network: ThermalNetwork,
  cycle: readonly CurrentSegment[],
  round: 'first' | 'settled',
  part: 'contact' | 'body' = 'contact',
): number {
  const pieces = heatOfCycle(cycle, 1);
  return hottestIn(network, round === 'first' ? AT_REST : settledRise(network, pieces), pieces, part);
}

/** Largest resistance in Ω that keeps a rise of `perOhm` K/Ω within `rise` K; 0 when no rise is left. */
export function resistanceForRise(perOhm: number, rise: number): number {
  return Math.max(0, rise) / perOhm;
}
