/**
 * Burn thresholds of bare metal after ISO 13732-1 (from memory). The standard gives temperatures at which skin
 * begins to burn for a time of contact; it sets no limits, and neither does this table.
 */

export interface BurnThreshold {
  /** s of contact */
  readonly contact: number;
  /** K at which a burn may begin */
  readonly low: number;
  /** K at which a burn is to be expected; equals `low` where the standard gives one value */
  readonly high: number;
}

const celsius = (degrees: number): number => degrees + 273.15;

/** Bare, smooth metal, shortest contact first. At 1 s and 10 s sources differ, hence ranges. */
export const BURN_THRESHOLDS: readonly BurnThreshold[] = [
  { contact: 1, low: celsius(65), high: celsius(70) },
  { contact: 10, low: celsius(55), high: celsius(60) },
  { contact: 60, low: celsius(51), high: celsius(51) },
  { contact: 600, low: celsius(48), high: celsius(48) },
  { contact: 28_800, low: celsius(43), high: celsius(43) },
];

/**
 * The threshold for a contact of `seconds`: rounded up to the next time in the table, so the result errs
 * towards the colder side. Beyond 8 h the last one stays.
 */
export function burnThreshold(seconds: number): BurnThreshold {
  return BURN_THRESHOLDS.find((row) => row.contact >= seconds) ?? BURN_THRESHOLDS.at(-1)!;
}

/**
 * Longest time of contact in s in the table whose threshold lies above `temperature` K. 0 when even a second may
 * burn.
 */
export function longestContactWithoutBurn(temperature: number): number {
  return BURN_THRESHOLDS.findLast((row) => temperature < row.low)?.contact ?? 0;
}

/** s of the next longer contact in the table: the one that may burn where `contact` s does not yet. */
export const longerContact = (contact: number): number =>
  BURN_THRESHOLDS.find((row) => row.contact > contact)?.contact ?? contact;
