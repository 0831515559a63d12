import { own } from '../base/collections.ts';
import { quantities, slips } from '../generated/units.ts';

export type QuantityName = keyof typeof quantities;

/** A written quantity, split into number and unit; `unit` is empty if there is none. */
export interface WrittenQuantity {
  readonly number: number;
  readonly digits: string;
  readonly unit: string;
}

const WRITTEN = /^\s*([-+]?\d+(?:\.\d+)?)\s*(.*?)\s*$/su;

/** Unifies lookalikes: OHM SIGN becomes GREEK OMEGA, GREEK MU becomes MICRO SIGN. */
const oneSign = (unit: string): string => unit.replaceAll('\u2126', 'Ω').replaceAll('\u03bc', '\u00b5');

export function splitQuantity(value: unknown): WrittenQuantity | undefined {
  const match = WRITTEN.exec(String(value));
  return match ? { number: Number(match[1]), digits: match[1]!, unit: oneSign(match[2]!) } : undefined;
}

function rule(name: QuantityName, unit: string): { add: number; factor: number } | undefined {
  const units: Readonly<Record<string, { add: number; factor: number }>> = quantities[name].units;
  return own(units, unit);
}

/**
 * The value in SI units (A, V, Ω, s, K, W, m², F).
 * @returns undefined when the text is no number with a unit of this quantity.
 */
export function toSI(name: QuantityName, value: unknown): number | undefined {
  const written = splitQuantity(value);
  const unit = written && rule(name, written.unit);
  return unit ? (written.number + unit.add) * unit.factor : undefined;
}

/** The unit that a fix proposes if none was written. */
export const defaultUnit = (name: QuantityName): string => Object.keys(quantities[name].units)[0]!;

export const unitsOf = (name: QuantityName): readonly string[] => Object.keys(quantities[name].units);

/** The quantity that `unit` does belong to, to say "300 V is a voltage". */
export function quantityOfUnit(unit: string): QuantityName | undefined {
  return (Object.keys(quantities) as QuantityName[]).find((name) => rule(name, oneSign(unit)));
}

/** The canonical spelling of a common variant of a unit, or `undefined`. */
export function correctedUnit(name: QuantityName, unit: string): string | undefined {
  // Milli and mega differ only in case: a guess is made only where there is one candidate.
  const word = Object.hasOwn(slips, unit) || /^m/i.test(unit) ? unit : unit.toLowerCase();
  const known = own<string>(slips, word);
  if (known && rule(name, known)) return known;
  const alike = unitsOf(name).filter((candidate) => candidate.toLowerCase() === unit.toLowerCase());
  return unit.length > 1 && alike.length === 1 ? alike[0] : undefined;
}
