/** Places in a text, and edits to it. Offsets are UTF-16 code units, as in LSP and in JavaScript strings. */

/**
 * A separately parsed region of a file. Its spans are relative to `base`, so that a region that only moved
 * (because text above it grew) keeps every span it holds and changes one number.
 */
export interface Origin {
  readonly uri: string;
  base: number;
}

/** A half-open range `[from, to)` relative to its origin. */
export interface Span {
  readonly origin: Origin;
  readonly from: number;
  readonly to: number;
}

/** A half-open range `[start, end)` of absolute offsets in one file. */
export interface Range {
  readonly uri: string;
  readonly start: number;
  readonly end: number;
}

export function rangeOf(span: Span): Range {
  const { uri, base } = span.origin;
  return { uri, start: base + span.from, end: base + span.to };
}

export function covers(span: Span, offset: number): boolean {
  const at = offset - span.origin.base;
  return span.from <= at && at <= span.to;
}

/** Replace `[start, end)` of the file `uri` by `text`. */
export interface Edit extends Range {
  readonly text: string;
}

/**
 * The edits for `uri`, in order of offset; insertions at the same offset keep their order.
 * @param length of the text they are for
 * @throws RangeError when two of them overlap or one lies outside the text.
 */
export function sortedEdits(edits: readonly Edit[], length: number, uri?: string): Edit[] {
  const own = edits
    .filter((edit) => uri === undefined || edit.uri === uri)
    .map((edit, order) => ({ edit, order }))
    .sort((a, b) => a.edit.start - b.edit.start || a.edit.end - b.edit.end || a.order - b.order)
    .map(({ edit }) => edit);
  let at = 0;
  for (const { start, end } of own) {
    if (start < at || end < start || end > length) {
      throw new RangeError(`edit ${start}-${end} overlaps another or lies outside the text`);
    }
    at = end;
  }
  return own;
}

/**
 * Applies the edits that belong to `uri` to `text`.
 * @throws RangeError when two edits overlap or one lies outside the text.
 */
export function applyEdits(text: string, edits: readonly Edit[], uri?: string): string {
  let result = '';
  let at = 0;
  for (const edit of sortedEdits(edits, text.length, uri)) {
    result += text.slice(at, edit.start) + edit.text;
    at = edit.end;
  }
  return result + text.slice(at);
}
