import { distance } from 'fastest-levenshtein';

/**
 * The candidate a person most likely meant by `word`: at most a third of its letters differ, and no part of it says something
 * else. Ties go to the alphabetically first, so the result does not depend on input order.
 */
export function nearest(word: string, candidates: Iterable<string>): string | undefined {
  let best: string | undefined;
  let least = slipsIn(word.length) + 1;
  for (const candidate of candidates) {
    if (Math.abs(candidate.length - word.length) > least || candidate === word) continue;
    const [typed, meant] = [word.toLowerCase(), candidate.toLowerCase()];
    const difference = distance(typed, meant);
    const nearer = difference < least || (difference === least && best !== undefined && candidate < best);
    if (nearer && isSlip(typed, meant)) [best, least] = [candidate, difference];
  }
  return best;
}

/** The candidate from which `word` differs by one letter that is wrong, missing or too many. */
export function oneSlipFrom(word: string, candidates: Iterable<string>): string | undefined {
  const meant = nearest(word, candidates);
  return meant !== undefined && distance(word, meant) === 1 ? meant : undefined;
}

/** How many letters of a word may differ. */
const slipsIn = (length: number): number => Math.max(1, Math.floor(length / 3));

/**
 * Whether each part between hyphens is the same but for a slip: `low` for `high`, `up` for `off` and `mild` for `full` are not,
 * nor is another number.
 */
function isSlip(typed: string, meant: string): boolean {
  const [a, b] = [typed.split('-'), meant.split('-')];
  // A hyphen too many or too few.
  if (a.length !== b.length) return distance(a.join(''), b.join('')) <= 1;
  return a.every((part, i) => {
    const other = b[i]!;
    if (part === other) return true;
    if (digitsIn(part) !== digitsIn(other) || isContrary(part, other)) return false;
    const longer = Math.max(part.length, other.length);
    // A part of two letters is another one as soon as one differs, as in `inverter-ac` and `inverter-dc`.
    return a.length === 1 || (longer > 2 && distance(part, other) <= slipsIn(longer));
  });
}

const digitsIn = (text: string): string => text.replaceAll(/\D/g, '');

/** Whether one of two words takes back what the other says, as `unlock` does of `lock` and `discharge` of `charge`. */
function isContrary(typed: string, meant: string): boolean {
  const [one, other] = [prefixOf(typed), prefixOf(meant)];
  const undoes = (prefix: string): boolean => prefix !== '' && prefix !== 're';
  if (undoes(one) === undoes(other)) return false;
  const stems = distance(typed.slice(one.length), meant.slice(other.length));
  return stems < distance(typed, meant);
}

const prefixOf = (word: string): string => /^(?:un|dis|de|non|not|in|re)/.exec(word)?.[0] ?? '';
