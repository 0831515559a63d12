/** What is said in a region: a regular expression, found between word boundaries, and what stands in its place. */
export type RegionalRule = readonly [from: string, to: string];

/** The entries of a catalogue that rules change, as the region reads them. What is typed, in backquotes, stays. */
export function regional(
  catalogue: Readonly<Record<string, string>>,
  rules: readonly RegionalRule[],
): Record<string, string> {
  const patterns = rules.map(
    ([from, to]) => [new RegExp(`(?<![\\p{L}\\d])(?:${from})(?![\\p{L}\\d])`, 'gu'), to] as const,
  );
  const inRegion = (prose: string): string =>
    patterns.reduce((text, [from, to]) => text.replaceAll(from, to), prose);
  return Object.fromEntries(
    Object.entries(catalogue).flatMap(([english, words]) => {
      const said = words
        .split(/(`[^`]*`)/)
        .map((part, i) => (i % 2 === 0 ? inRegion(part) : part))
        .join('');
      return said === words ? [] : [[english, said]];
    }),
  );
}
