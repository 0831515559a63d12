/**
 * Heat of a current in a resistance. SI units: ampere, ohm, watt, second.
 * Source: Joule's law; OpenStax College Physics, "Electric Power and Energy".
 */

/**
 * Heat in W dissipated by `current` A in `resistance` Ω: P = I²R. The direction of the current does not
 * matter.
 */
export function jouleHeat(current: number, resistance: number): number {
  return current * current * resistance;
}

/** An interval of constant current. */
export interface CurrentSegment {
  /** A */
  readonly current: number;
  /** s, not negative */
  readonly duration: number;
}

/**
 * The steady current in A that gives the same mean heat as one round of a repeating cycle: √(Σ I²t / Σ t). It
 * represents the cycle's temperature only while the cycle is far shorter than the thermal time constant of
 * the body that is heated; a longer cycle has to be followed piece by piece.
 * @throws RangeError when the pieces last no time at all, or one lasts less than none.
 */
export function rmsCurrent(cycle: readonly CurrentSegment[]): number {
  let squares = 0;
  let time = 0;
  for (const { current, duration } of cycle) {
    if (!(duration >= 0)) throw new RangeError('a piece of a duty cycle cannot last less than no time');
    squares += current * current * duration;
    time += duration;
  }
  if (!(time > 0)) throw new RangeError('a duty cycle has to last some time');
  return Math.sqrt(squares / time);
}

/** Mean heat in W over one round of a repeating cycle in `resistance` Ω. Errors as for `rmsCurrent`. */
export function dutyHeat(cycle: readonly CurrentSegment[], resistance: number): number {
  return jouleHeat(rmsCurrent(cycle), resistance);
}

/**
 * Ohms as they are stated: for the `reference` temperature in K of their metal. Warmer, there are more of them.
 */
export interface StatedResistance {
  /** Ω */
  readonly resistance: number;
  /** K */
  readonly reference: number;
}
