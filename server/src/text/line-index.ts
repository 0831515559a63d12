import type { Change } from './change.ts';
import type { Rope } from './rope.ts';

/** Line and character, both from 0, characters in UTF-16 code units (LSP's default). */
export interface Position {
  readonly line: number;
  readonly character: number;
}

/** Offsets and length in UTF-16 code units. */
export interface LineStarts {
  readonly starts: ArrayLike<number>;
  readonly length: number;
}

/** Line starts of one text. A line ends at LF, CR LF or a lone CR. */
export class LineIndex {
  readonly #starts: ArrayLike<number>;
  /**
   * Lines after `#edited` start `#moved` characters later than `#starts` says, so typing within a line need
   * not rewrite the array.
   */
  readonly #edited: number;
  readonly #moved: number;
  readonly #length: number;
  /** Whether the text has no lone CR, i.e. every line break is LF or CR LF. */
  readonly #plain: boolean;

  /** @param text the text, or where its lines start */
  constructor(text: Rope | LineStarts, edited?: { readonly before: LineIndex; readonly change: Change }) {
    this.#length = text.length;
    if ('starts' in text) {
      [this.#starts, this.#edited, this.#moved, this.#plain] = [text.starts, 0, 0, false];
      return;
    }
    const known = edited && edited.before.#after(text, edited.change);
    this.#plain = known !== undefined || !hasLoneBreak(String(text));
    this.#starts = known?.starts ?? [0].concat(lineStarts(String(text), !this.#plain));
    this.#edited = known?.edited ?? 0;
    this.#moved = known?.moved ?? 0;
  }

  /** Line starts after a change: earlier ones are kept, later ones are shifted. */
  #after(text: Rope, { start, end, newEnd }: Change): LinesAfter | undefined {
    // The edit may have split or joined a CR LF pair. Ignore a CR at the very end of `around`: the character
    // after it did not change.
    const seen = Math.min(newEnd + 2, text.length);
    const around = text.slice(Math.max(0, start - 1), seen);
    const lone = seen < text.length ? loneBreakWithin : loneBreak;
    if (!this.#plain || lone.test(around)) return undefined;
    const inserted = text.slice(start, newEnd);
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

  /** The offsets at which the lines start. */
  get starts(): ArrayLike<number> {
    const { length } = this.#starts;
    return this.#moved === 0 ? this.#starts : Array.from({ length }, (_, line) => this.#start(line));
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

const loneBreak = /\r(?!\n)/;
/** Most texts have no CR at all, which is seen sooner. */
const hasLoneBreak = (text: string): boolean => text.includes('\r') && loneBreak.test(text);
const loneBreakWithin = /\r(?!\n|$)/;

interface LinesAfter {
  readonly starts: ArrayLike<number>;
  readonly edited: number;
  readonly moved: number;
}

/** @param lone whether a lone CR also ends a line */
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
