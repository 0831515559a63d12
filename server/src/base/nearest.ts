import { distance } from 'fastest-levenshtein';

/**
 * The candidate a person most likely meant by `word`: at most a third of its letters differ. Ties go to the
 * alphabetically first, so the result does not depend on input order.
 */
export function nearest(word: string, candidates: Iterable<string>): string | undefined {
  let best: string | undefined;
  let least = Math.max(1, Math.floor(word.length / 3)) + 1;
  for (const candidate of candidates) {
    if (Math.abs(candidate.length - word.length) > least || candidate === word) continue;
    const difference = distance(word.toLowerCase(), candidate.toLowerCase());
    const nearer = difference < least || (difference === least && best !== undefined && candidate < best);
    if (nearer) [best, least] = [candidate, difference];
  }
  return best;
}
