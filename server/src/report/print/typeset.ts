import type { Language } from '../../language/language.ts';

const units = '[kMmµ]?Ω(?:/V)?|[kmµ]?V|[kmµ]?A|[kM]?W|k?J|°C|°F|K|K/W|J/K|1/K|h|min|s|ms|mm²|mm|m|µF|%|bar';
const quantity = new RegExp(`([\\d?]) (?:(±) )?(?=(?:\\d[\\d.,]*)? ?(?:${units})(?![\\p{L}\\p{N}]))`, 'gu');
const decimal = new RegExp(
  `(?<![\\d.])(\\d+)\\.(\\d+)(?=(?:\u00a0±\u00a0[\\d.,]+)?\u00a0(?:${units})(?![\\p{L}\\p{N}]))`,
  'gu',
);

/**
 * A page as a reader wants its numbers: no line ends between a number and its unit, and a quantity that is quoted from a
 * file has the decimal sign of the reader. Only texts change, no markup and no style.
 */
export const typeset = (html: string, language: Language | undefined): string =>
  html.replace(/<style[\s\S]*?<\/style>|<[^>]*>|[^<]+/g, (piece) =>
    piece.startsWith('<') ? piece : evenNumbers(piece, language),
  );

/** The same for a text alone. */
function evenNumbers(text: string, language: Language | undefined): string {
  const whole = text.replace(quantity, (_, digit: string, sign?: string) =>
    sign ? `${digit}\u00a0${sign}\u00a0` : `${digit}\u00a0`,
  );
  return language && language.decimal !== '.' ? whole.replace(decimal, `$1${language.decimal}$2`) : whole;
}
