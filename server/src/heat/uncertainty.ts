/**
 * Measurement uncertainty and conformity decisions.
 * Sources: JCGM 100:2008 (GUM) for propagation, JCGM 106:2012 for decisions.
 */

import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';

export interface UncertainValue {
  readonly value: number;
  /** Standard uncertainty (k = 1), in the unit of the value. */
  readonly uncertainty: number;
}

export interface Propagated extends UncertainValue {
  /** Signed contribution of each input, in the unit of the result. */
  readonly contributions: readonly number[];
}

/**
 * First-order propagation: the result of `measurand` at the inputs' values, and its standard uncertainty
 * √(ΣΣ zᵢ zⱼ rᵢⱼ). Each zᵢ is half the change of the result when its input moves from one standard uncertainty below to
 * one above, as GUM 5.1.3 note 2 allows instead of the derivative. `correlation` holds the coefficients rᵢⱼ (GUM
 * 5.2.2); without it the inputs are independent.
 * @throws RangeError when the correlation is no square table of the inputs' size with ones on its diagonal.
 */
export function propagate(
  measurand: (values: readonly number[]) => number,
  inputs: readonly UncertainValue[],
  correlation?: readonly (readonly number[])[],
): Propagated {
  const size = inputs.length;
  if (
    correlation &&
    !(correlation.length === size && correlation.every((row, i) => row.length === size && row[i] === 1))
  ) {
    throw new RangeError(
      'the correlation has to be a square table with one row an input and ones on its diagonal',
    );
  }
  const values = inputs.map((input) => input.value);
  const moved = (index: number, by: number): number =>
    measurand(values.map((value, i) => (i === index ? value + by : value)));
  const contributions = inputs.map(({ uncertainty }, i) =>
    uncertainty === 0 ? 0 : (moved(i, uncertainty) - moved(i, -uncertainty)) / 2,
  );
  let variance = 0;
  contributions.forEach((zi, i) => {
    contributions.forEach((zj, j) => {
      variance += zi * zj * (correlation ? correlation[i]![j]! : i === j ? 1 : 0);
    });
  });
  // Full correlation of opposed inputs leaves a zero that rounding may turn negative.
  return { value: measurand(values), uncertainty: Math.sqrt(Math.max(0, variance)), contributions };
}

/** Standard normal distribution function. Source: Marsaglia, Evaluating the Normal Distribution, J. Stat. Softw. 11 (2004). */
function normal(z: number): number {
  if (Math.abs(z) > 8) return z > 0 ? 1 : 0;
  let term = z;
  let sum = z;
  for (let i = 3; Math.abs(term) > 1e-17 * Math.abs(sum); i += 2) {
    term *= (z * z) / i;
    sum += term;
  }
  return 0.5 + (sum * Math.exp((-z * z) / 2)) / Math.sqrt(2 * Math.PI);
}

/** The conforming side of a limit. */
export type Side = 'at-most' | 'at-least';

/**
 * Probability that the true value keeps `limit`, for a normal distribution around the reading. Source: JCGM 106:2012,
 * 7.3.
 * @throws RangeError when the uncertainty is not positive.
 */
export function conformanceProbability(
  { value, uncertainty }: UncertainValue,
  limit: number,
  side: Side = 'at-most',
): number {
  if (!(uncertainty > 0)) throw new RangeError('a probability needs an uncertainty above zero');
  return normal((side === 'at-most' ? limit - value : value - limit) / uncertainty);
}

type Verdict = 'accepted' | 'rejected' | 'undecided';

const VERDICTS: Readonly<Record<Verdict, Phrase>> = {
  accepted: say`below the limit by more than its uncertainty`,
  rejected: say`above the limit by more than its uncertainty`,
  undecided: say`closer to the limit than its uncertainty, so undecided`,
};

export interface Judgement {
  readonly verdict: Verdict;
  /** The last reading that is accepted. */
  readonly acceptance: number;
  /** The last reading that is not yet rejected. */
  readonly rejection: number;
  /** The rule in words, to be shown beside the verdict. */
  readonly rule: Phrase;
}

/** What a reading is, in words. Without an uncertainty nothing lies between acceptance and rejection. */
export const verdictWords = ({ verdict, acceptance, rejection }: Judgement): Phrase =>
  acceptance !== rejection
    ? VERDICTS[verdict]
    : verdict === 'accepted'
      ? say`not above the limit, with no uncertainty given`
      : say`above the limit, with no uncertainty given`;

const GUARDED = say`accepted only if the reading is below the limit by at least its expanded uncertainty U (k = 2); rejected only if it is above it by more than U; undecided in between (guard band w = U, JCGM 106:2012, 8.3)`;
const SIMPLE = say`no uncertainty was given, so the reading alone is compared with the limit (simple acceptance, JCGM 106:2012, 8.2)`;

/**
 * Judges a reading against a limit of the same unit. `expandedUncertainty` is U = 2u; without it the reading alone
 * decides, and the rule says so. Other rules are in use (ISO 14253-1:2017 asks 1.65 u), hence the rule in the answer.
 * @throws RangeError when the uncertainty is negative.
 */
export function judge(
  value: number,
  expandedUncertainty: number | undefined,
  limit: number,
  side: Side = 'at-most',
): Judgement {
  const guard = expandedUncertainty ?? 0;
  if (!(guard >= 0)) throw new RangeError('an uncertainty cannot be negative');
  const sign = side === 'at-most' ? 1 : -1;
  // Decimal readings are not exact in binary: 0.80 − 0.02 has to accept 0.78.
  const rounding = 1e-12 * (Math.abs(limit) + guard);
  const over = sign * (value - limit);
  const verdict = over <= -guard + rounding ? 'accepted' : over > guard + rounding ? 'rejected' : 'undecided';
  return {
    verdict,
    acceptance: limit - sign * guard,
    rejection: limit + sign * guard,
    rule: expandedUncertainty === undefined ? SIMPLE : GUARDED,
  };
}
