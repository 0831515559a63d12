/** One replacement: `[start, end)` of the old text became `[start, newEnd)` of the new text. */
export interface Change {
  readonly start: number;
  readonly end: number;
  readonly newEnd: number;
}

/** The smallest single replacement that turns `before` into `after`; `undefined` if they are equal. */
export function changeBetween(before: string, after: string): Change | undefined {
  if (before === after) return undefined;
  const max = Math.min(before.length, after.length);
  const start = longest(max, (from, to) => before.slice(from, to) === after.slice(from, to));
  const ends = (text: string, from: number, to: number): string =>
    text.slice(text.length - to, text.length - from);
  const same = longest(max - start, (from, to) => ends(before, from, to) === ends(after, from, to));
  return { start, end: before.length - same, newEnd: after.length - same };
}

/**
 * Length of the common prefix or suffix, by binary search over substrings. V8 compares substrings many times
 * faster than single code units.
 */
function longest(max: number, agree: (from: number, to: number) => boolean): number {
  let known = 0;
  let unknown = max;
  while (known < unknown) {
    const middle = (known + unknown + 1) >> 1;
    if (agree(known, middle)) known = middle;
    else unknown = middle - 1;
  }
  return known;
}
