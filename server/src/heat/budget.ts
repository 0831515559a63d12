/** The question turned round: how much resistance heat or temperature leave room for. SI units. */
import { jouleHeat } from './joule.ts';
import { contactStep, steadyRise } from './thermal.ts';
import type { ThermalNetwork } from './thermal.ts';

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
 * time at the steady current. The rise is proportional to the resistance, so this number serves both ways.
 */
export function risePerOhm(network: ThermalNetwork, { steady, peak, peakTime }: Load): number {
  const long = steadyRise(network, jouleHeat(steady, 1)).contact;
  if (peak === undefined || peakTime === undefined) return long;
  return long + (jouleHeat(peak, 1) - jouleHeat(steady, 1)) * contactStep(network, peakTime);
}

/** Largest resistance in Ω that keeps the contact within `rise` K above its surroundings; 0 when no rise is left. */
export function resistanceForRise(network: ThermalNetwork, load: Load, rise: number): number {
  return Math.max(0, rise) / risePerOhm(network, load);
}
