/**
 * Vehicle identification numbers: 17 characters, capital letters without I, O and Q, and digits (ISO 3779; 49 CFR
 * 565.13). In North America the ninth is a check digit (49 CFR 565.15); elsewhere it may be anything.
 */

export const vinLength = 17;

/**
 * Check-digit value of each letter from A on; 0 for letters a VIN cannot contain. Digits count as themselves.
 */
const counts = '12345678012345070923456789';
/** The weight of each place. */
const weights = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2];

/** The distinct characters of `vin` that a VIN cannot contain, including lower-case letters. */
export const invalidCharacters = (vin: string): string[] => [...new Set(vin.replace(/[A-HJ-NPR-Z0-9]/g, ''))];

/** The check digit that belongs in the ninth place (0–9 or X) of a number that has the right length and letters. */
export function checkDigit(vin: string): string {
  let sum = 0;
  for (const [place, weight] of weights.entries()) {
    const sign = vin[place]!;
    sum += weight * Number(/\d/.test(sign) ? sign : counts[sign.charCodeAt(0) - 65]);
  }
  return sum % 11 === 10 ? 'X' : String(sum % 11);
}
