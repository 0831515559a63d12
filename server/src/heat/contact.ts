/**
 * The electrical contact: what its voltage says about its temperature, whatever its shape.
 * SI units: volt, ampere, ohm, kelvin, metre.
 *
 * A resistance that is read from terminal to terminal holds crimps and lengths of metal as well as the contact
 * itself. The drop computed from it is therefore an upper bound of the voltage across the contact: below the
 * softening voltage it clears the contact, above it proves nothing on its own.
 */
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';

/** Boltzmann constant, J/K, and elementary charge, C: exact since 2019 (SI Brochure, 9th ed.; CODATA). */
const BOLTZMANN = 1.380649e-23;
const ELEMENTARY_CHARGE = 1.602176634e-19;

/** Lorenz number of a metal after Sommerfeld, V²/K²: (π²/3)(k/e)². */
export const LORENZ_NUMBER = (Math.PI ** 2 / 3) * (BOLTZMANN / ELEMENTARY_CHARGE) ** 2;

/** The same of copper at 300 K, measured: a little smaller, so that a spot gets a little hotter. Source: CRC Handbook; Kittel (from memory). */
export const LORENZ_COPPER = 2.31e-8;

/** Voltage in V across `resistance` Ω at `current` A; never negative. */
export function voltageDrop(current: number, resistance: number): number {
  return Math.abs(current) * resistance;
}

/**
 * Highest temperature in K inside a constriction that carries the voltage `voltage` V while the metal around it is
 * at `bulk` K: T² = T0² + U²/(4L). It holds for every shape of symmetrical contact, as long as heat and current
 * take the same way. Source: Holm, Electric Contacts, 4th ed.
 */
export function constrictionTemperature(bulk: number, voltage: number, lorenz = LORENZ_NUMBER): number {
  return Math.hypot(bulk, voltage / (2 * Math.sqrt(lorenz)));
}

/**
 * Voltage in V at which the spots of a contact whose metal is at `bulk` K are as hot as `threshold` V makes those of
 * one at 20 °C, by the same relation: a warm contact needs less. 0 where the metal itself is that hot.
 */
export function thresholdVoltage(threshold: number, bulk: number): number {
  const room = 293.15;
  return Math.sqrt(Math.max(0, threshold ** 2 - 4 * LORENZ_NUMBER * (bulk ** 2 - room ** 2)));
}

/**
 * Radius in m of the one round spot between two members of `resistivity` Ω·m whose constriction has `resistance` Ω: from
 * R = ρ/2a, half of it (ρ/4a) in each member. A resistance that holds more than the constriction (crimps, films) makes it
 * a lower bound: what is left for the spot is less, and the spot larger. Source: Holm, Electric Contacts, 4th ed.
 * @throws RangeError when the resistance is not positive.
 */
export function spotRadius(resistivity: number, resistance: number): number {
  if (!(resistance > 0)) throw new RangeError('a contact spot has a resistance above zero');
  return resistivity / (2 * resistance);
}

export type Plating = 'copper' | 'silver' | 'gold' | 'tin' | 'nickel' | 'aluminium';

export const platingWords: Readonly<Record<Plating, Phrase>> = {
  copper: say`copper`,
  silver: say`silver`,
  gold: say`gold`,
  tin: say`tin`,
  nickel: say`nickel`,
  aluminium: say`aluminium`,
};

export interface ContactVoltages {
  /** V across the contact at which its spots soften. */
  readonly softening: number;
  /** V across the contact at which its spots melt. */
  readonly melting: number;
  readonly source: string;
}

const HOLM = 'Holm, Electric Contacts, 4th ed., table of contact voltages (read in secondary texts)';

/**
 * Softening and melting voltages as printed for the bulk metals. They are measured values: the
 * voltage–temperature relation reproduces them only roughly (nickel worst), so table and relation are kept apart.
 */
export const CONTACT_VOLTAGES: Readonly<Record<Plating, ContactVoltages>> = {
  copper: { softening: 0.12, melting: 0.43, source: HOLM },
  silver: { softening: 0.09, melting: 0.37, source: HOLM },
  gold: { softening: 0.08, melting: 0.43, source: HOLM },
  tin: { softening: 0.07, melting: 0.13, source: HOLM },
  nickel: { softening: 0.22, melting: 0.65, source: HOLM },
  aluminium: { softening: 0.1, melting: 0.3, source: 'Holm; Slade, Electrical Contacts (from memory)' },
};

/**
 * Whether the contact itself reaches a voltage, told from a terminal-to-terminal reading:
 * `below` even the whole drop stays under it; `possible` the whole drop reaches it, but crimps may hold part of it;
 * `likely` the drop that was added since new reaches it alone (crimps do not get dirty).
 */
export type ThresholdVerdict = 'below' | 'possible' | 'likely';

/**
 * Compares the drop at `current` A of a terminal-to-terminal `resistance` Ω with `threshold` V. `asNew` Ω, the same
 * reading of a clean connector, allows the verdict `likely`.
 */
export function reachesVoltage(
  current: number,
  resistance: number,
  threshold: number,
  asNew?: number,
): ThresholdVerdict {
  if (voltageDrop(current, resistance) < threshold) return 'below';
  const added = asNew === undefined ? 0 : voltageDrop(current, resistance - asNew);
  return added >= threshold ? 'likely' : 'possible';
}
