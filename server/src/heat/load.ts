/** What a connector is asked to carry, and what it is held against. SI units. */
import type { Plating } from './contact.ts';
import { rmsCurrent } from './joule.ts';
import type { CurrentSegment } from './joule.ts';

/** Larger numbers are taken for typos; their squares could overflow a double. */
const HUGE = 1e12;
export const usable = (value: number | undefined): value is number =>
  value !== undefined && value >= 1 / HUGE && value <= HUGE;

/** A duty cycle as it was used. */
export interface UsableDutyCycle {
  readonly pieces: readonly CurrentSegment[];
  /** s */
  readonly duration: number;
  /** A: root mean square over a round, and the highest in either direction */
  readonly rms: number;
  readonly highest: number;
}

export interface LoadCase {
  /** A, in either direction: only the magnitude counts */
  readonly steady?: number;
  readonly peak?: number;
  /** s */
  readonly peakTime?: number;
  readonly cycle?: UsableDutyCycle;
  readonly plating?: Plating;
  /** Ω */
  readonly asNew?: number;
  /** K */
  readonly temperatureClass?: number;
  /** W, of the whole connector */
  readonly budget?: number;
}

/** `undefined` for a cycle that cannot be followed: without current, or with a piece that lasts no time. */
export function dutyCycle(pieces: readonly CurrentSegment[] | undefined): UsableDutyCycle | undefined {
  if (!pieces || pieces.length === 0) return undefined;
  const currents = pieces.map(({ current }) => Math.abs(current));
  const sound = pieces.every(({ duration }, i) => usable(duration) && currents[i]! <= HUGE);
  const highest = Math.max(...currents);
  if (!sound || !usable(highest)) return undefined;
  const duration = pieces.reduce((sum, piece) => sum + piece.duration, 0);
  return { pieces, duration, rms: rmsCurrent(pieces), highest };
}

/** A peak below the steady current cools. */
export const cools = ({ steady, peak }: LoadCase): boolean => (peak ?? Infinity) < (steady ?? 0);

/** A, the highest current of a moment that is given. */
export const highestCurrent = ({ peak, cycle }: LoadCase): number | undefined => peak ?? cycle?.highest;
