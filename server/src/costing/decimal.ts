import Big from 'big.js';
import type { ScalarNode } from '../document/node.ts';
import { rangeOf } from '../text/span.ts';

/** The texts that values were read from, by URI. */
export type SourceTextOf = (uri: string) => string | undefined;

/**
 * Maximum digits before or after the point. Anything beyond is taken for a typo and would cost unbounded
 * digits.
 */
const maxDigits = 15;

/**
 * The decimal a person wrote. A number that YAML has already turned into binary is not used: its digits are
 * read again from the source text, so `0.10` is a tenth and `1e-1` is a tenth. A number in quotes is its own
 * text.
 * @returns `undefined` if the text is not a decimal, is negative, or has more than 15 digits before or after
 * the point.
 */
export function readDecimal(node: ScalarNode<unknown> | undefined, textOf: SourceTextOf): Big | undefined {
  if (!node || node.rejectedBySchema) return undefined;
  const { value } = node;
  if (typeof value === 'string') return decimalOf(value);
  if (typeof value !== 'number' || !Number.isFinite(value)) return undefined;
  const { uri, start, end } = rangeOf(node.span);
  const written = textOf(uri)?.slice(start, end) ?? '';
  // Hexadecimal and octal numbers of YAML 1.2 are whole, and whole numbers of this size are exact.
  return /^0[xo]/.test(written) ? decimalOf(String(value)) : decimalOf(written);
}

/** A decimal from its digits; an exponent is allowed. */
export function decimalOf(digits: string): Big | undefined {
  const text = digits.trim();
  if (!/^\+?(\d+\.?\d*|\.\d+)(e[-+]?\d{1,3})?$/i.test(text) || text.length > 60) return undefined;
  const decimal = new Big(text.replace(/^\+/, ''));
  const decimals = decimal.c.length - 1 - decimal.e;
  return decimal.e < maxDigits && decimals <= maxDigits ? decimal : undefined;
}

export const zero: Big = new Big(0);

/** The sum of numbers as they are written, without binary remainders: 3 × 0.35 is 1.05. */
export const exactSum = (numbers: readonly number[]): number =>
  Number(numbers.reduce((sum, one) => sum.plus(String(one)), zero).toFixed());

export const sumAmounts = (amounts: readonly Big[]): Big =>
  amounts.reduce((sum, amount) => sum.plus(amount), zero);

/** Rounds half up, the usual rule of bills: 0.125 becomes 0.13 at two decimals. */
export const roundHalfUp = (amount: Big, decimals: number): Big => amount.round(decimals, Big.roundHalfUp);

/**
 * Shares an amount of whole minor units into `count` parts that differ by one minor unit at most and add up to it
 * exactly; the first parts are the larger ones.
 */
export function splitEvenly(amount: Big, count: number, decimals: number): Big[] {
  const unit = new Big(10).pow(-decimals);
  const units = amount.div(unit);
  const least = units.div(count).round(0, Big.roundDown);
  const left = Number(units.minus(least.times(count)));
  return Array.from({ length: count }, (_, i) => least.plus(i < left ? 1 : 0).times(unit));
}
