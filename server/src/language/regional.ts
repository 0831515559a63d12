/** What is said in a region: a regular expression, found between word boundaries, and what stands in its place. */
export type RegionalRule = readonly [from: string, to: string];

/** Puts words of a language into those that a region reads instead. What is typed, in backquotes, stays. */
export function regional(rules: readonly RegionalRule[]): (words: string) => string {
  const patterns = rules.map(
    ([from, to]) => [new RegExp(`(?<![\\p{L}\\d])(?:${from})(?![\\p{L}\\d])`, 'gu'), to] as const,
  );
  const inRegion = (prose: string): string =>
    patterns.reduce((text, [from, to]) => text.replaceAll(from, to), prose);
  return (words) =>
    words
      .split(/(`[^`]*`)/)
      .map((part, i) => (i % 2 === 0 ? inRegion(part) : part))
      .join('');
}
