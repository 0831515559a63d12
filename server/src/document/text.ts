/** Places in a text, and edits to it. Offsets are UTF-16 code units, as in LSP and in JavaScript strings. */

/**
 * A stretch of a file that was parsed on its own. Spans inside it count from `base`, so that a stretch that
 * only moved (because text above it grew) keeps every span it holds and changes one number.
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
 * Applies the edits that belong to `uri` to `text`. Edits may not overlap; several insertions at one offset
 * keep their order.
 * @throws RangeError when two edits overlap or one lies outside the text.
 */
export function applyEdits(text: string, edits: readonly Edit[], uri?: string): string {
  const own = edits
    .filter((edit) => uri === undefined || edit.uri === uri)
    .map((edit, order) => ({ edit, order }))
    .sort((a, b) => a.edit.start - b.edit.start || a.edit.end - b.edit.end || a.order - b.order);
  let result = '';
  let at = 0;
  for (const { edit } of own) {
    if (edit.start < at || edit.end < edit.start || edit.end > text.length) {
      throw new RangeError(`edit ${edit.start}-${edit.end} overlaps another or lies outside the text`);
    }
    result += text.slice(at, edit.start) + edit.text;
    at = edit.end;
  }
  return result + text.slice(at);
}

/** Line and character, both from 0, characters in UTF-16 code units (LSP's default). */
export interface Position {
  readonly line: number;
  readonly character: number;
}

/** Line starts of one text. A line ends at LF, CR LF or a lone CR. */
export class LineIndex {
  readonly #starts: readonly number[];
  /** The lines behind this one start so much later than it says there: typing in one line moves no other. */
  readonly #edited: number;
  readonly #moved: number;
  readonly #length: number;
  /** Whether every line ends at a LF alone. */
  readonly #plain: boolean;

  constructor(text: string, edited?: { readonly before: LineIndex; readonly change: Change }) {
    this.#length = text.length;
    const known = edited && edited.before.#after(text, edited.change);
    this.#plain = known !== undefined || !text.includes('\r');
    this.#starts = known?.starts ?? [0].concat(lineStarts(text, !this.#plain && /\r(?!\n)/.test(text)));
    this.#edited = known?.edited ?? 0;
    this.#moved = known?.moved ?? 0;
  }

  /** The line starts after a change: those before it stay, those behind it move. */
  #after(text: string, { start, end, newEnd }: Change): LinesAfter | undefined {
    const inserted = text.slice(start, newEnd);
    if (!this.#plain || inserted.includes('\r')) return undefined;
    const first = this.positionAt(start).line;
    const last = this.positionAt(end).line;
    const breaks = lineStarts(inserted, false);
    const shift = newEnd - end;
    if (first === last && breaks.length === 0 && (this.#moved === 0 || this.#edited === first)) {
      return { starts: this.#starts, edited: first, moved: this.#moved + shift };
    }
    const starts: number[] = [];
    for (let line = 0; line <= first; line++) starts.push(this.#start(line));
    for (const at of breaks) starts.push(start + at);
    for (let line = last + 1; line < this.#starts.length; line++) starts.push(this.#start(line) + shift);
    return { starts, edited: 0, moved: 0 };
  }

  #start(line: number): number {
    const start = this.#starts[line]!;
    return line > this.#edited ? start + this.#moved : start;
  }

  get lineCount(): number {
    return this.#starts.length;
  }

  /** Offset at which `line` (from 0) starts; the end of the text when there is no such line. */
  lineStart(line: number): number {
    return line in this.#starts ? this.#start(line) : this.#length;
  }

  positionAt(offset: number): Position {
    const at = Math.max(0, Math.min(offset, this.#length));
    let low = 0;
    let high = this.#starts.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (this.#start(middle) <= at) low = middle;
      else high = middle - 1;
    }
    return { line: low, character: at - this.#start(low) };
  }

  offsetAt(position: Position): number {
    const start = this.lineStart(position.line);
    const next = this.lineStart(position.line + 1);
    return Math.min(start + position.character, next, this.#length);
  }
}

interface LinesAfter {
  readonly starts: readonly number[];
  readonly edited: number;
  readonly moved: number;
}

/** @param lone whether a CR alone ends a line too */
function lineStarts(text: string, lone: boolean): number[] {
  const starts: number[] = [];
  if (!lone) {
    for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) starts.push(at + 1);
    return starts;
  }
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i);
    if (code === 10 || (code === 13 && text.charCodeAt(i + 1) !== 10)) starts.push(i + 1);
  }
  return starts;
}

/** Where two texts differ: `[start, end)` of the first became `[start, newEnd)` of the second. */
export interface Change {
  readonly start: number;
  readonly end: number;
  readonly newEnd: number;
}

/** The smallest single stretch in which two texts differ; undefined when they are equal. */
export function changeBetween(before: string, after: string): Change | undefined {
  if (before === after) return undefined;
  const most = Math.min(before.length, after.length);
  const start = longest(most, (from, to) => before.slice(from, to) === after.slice(from, to));
  const ends = (text: string, from: number, to: number): string =>
    text.slice(text.length - to, text.length - from);
  const same = longest(most - start, (from, to) => ends(before, from, to) === ends(after, from, to));
  return { start, end: before.length - same, newEnd: after.length - same };
}

/** How far two texts agree: whole strings are compared, which the engine does many times faster than unit by unit. */
function longest(most: number, agree: (from: number, to: number) => boolean): number {
  let known = 0;
  let unknown = most;
  while (known < unknown) {
    const middle = (known + unknown + 1) >> 1;
    if (agree(known, middle)) known = middle;
    else unknown = middle - 1;
  }
  return known;
}
