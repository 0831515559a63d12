import type { Language } from './language.ts';

const units = '[kMmµ]?Ω(?:/V)?|[kmµ]?V|[kmµ]?A|[kM]?W|k?J|°C|°F|K|K/W|J/K|1/K|h|min|s|ms|mm²|mm|m|µF|%|bar';
const quantity = new RegExp(`([\\d?]) (?:(±) )?(?=(?:\\d[\\d.,]*)? ?(?:${units})(?![\\p{L}\\p{N}]))`, 'gu');
const decimal = new RegExp(
  `(?<![\\d.])(\\d+)\\.(\\d+)(?=(?:\u00a0±\u00a0[\\d.,]+)?\u00a0(?:${units})(?![\\p{L}\\p{N}]))`,
  'gu',
);

/** No line ends between a number and its unit: hard spaces (ISO 80000-1, 7.1.4: a space stands there). */
export const keepQuantities = (text: string): string =>
  text.replace(quantity, (_, digit: string, sign?: string) =>
    sign ? `${digit}\u00a0${sign}\u00a0` : `${digit}\u00a0`,
  );

/** The same, and every quantity with the decimal sign of the reader, also one that is quoted from a file. */
export function evenQuantities(text: string, language: Language | undefined): string {
  const whole = keepQuantities(text);
  return language && language.decimal !== '.' ? whole.replace(decimal, `$1${language.decimal}$2`) : whole;
}
