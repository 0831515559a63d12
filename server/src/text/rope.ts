import { changeBetween } from './change.ts';
import type { Change } from './change.ts';

/**
 * Target chunk size in characters. Larger chunks make each keystroke costlier, smaller ones make the chunk
 * list longer.
 */
const usual = 8_192;

/**
 * An immutable text in chunks. An edit returns a new rope that rebuilds the affected chunk and shares the
 * others, so that a long text is not copied on every keystroke.
 */
export class Rope {
  readonly length: number;
  readonly chunks: readonly string[];
  /** Start offset of each chunk. */
  readonly #starts: readonly number[];
  #whole: string | undefined;

  private constructor(chunks: readonly string[], whole?: string) {
    const starts: number[] = [];
    let length = 0;
    for (const chunk of chunks) {
      starts.push(length);
      length += chunk.length;
    }
    this.length = length;
    this.chunks = chunks;
    this.#starts = starts;
    this.#whole = whole;
  }

  static of(text: string | Rope): Rope {
    return typeof text === 'string' ? new Rope(splitIntoChunks(text), text) : text;
  }

  /** The whole text, joined on first use. */
  toString(): string {
    return (this.#whole ??= this.chunks.join(''));
  }

  /** The characters of `[from, to)`, which must lie in the text. */
  slice(from: number, to: number): string {
    if (from >= to) return '';
    const first = this.#at(from);
    const last = this.#at(to - 1);
    const start = from - this.#starts[first]!;
    if (first === last) return this.chunks[first]!.slice(start, to - this.#starts[first]!);
    const between = this.chunks.slice(first + 1, last).join('');
    return this.chunks[first]!.slice(start) + between + this.chunks[last]!.slice(0, to - this.#starts[last]!);
  }

  /** The same text with `text` in place of `[start, end)`. */
  replaced(start: number, end: number, text: string): Rope {
    let first = this.#at(start);
    let last = this.#at(end);
    let fresh = this.#head(first, start) + text + this.#tail(last, end);
    // Merge a short chunk with its neighbour.
    if (fresh.length < usual / 4 && last + 1 < this.chunks.length) fresh += this.chunks[++last]!;
    else if (fresh.length < usual / 4 && first > 0) fresh = this.chunks[--first]! + fresh;
    const chunks = this.chunks.slice(0, first);
    for (const chunk of splitIntoChunks(fresh)) chunks.push(chunk);
    for (let i = last + 1; i < this.chunks.length; i++) chunks.push(this.chunks[i]!);
    return new Rope(chunks);
  }

  equals(other: Rope): boolean {
    return this.length === other.length && this.diffTo(other) === undefined;
  }

  /** End offset of the text without trailing white space. */
  get contentEnd(): number {
    for (let i = this.chunks.length - 1; i >= 0; i--) {
      const content = this.chunks[i]!.trimEnd().length;
      if (content > 0) return this.#starts[i]! + content;
    }
    return 0;
  }

  /**
   * The replacement that leads to `other`: minimal, except that repeated text may widen it; `undefined` if
   * the texts are equal.
   */
  diffTo(other: Rope): Change | undefined {
    const [mine, theirs] = [this.chunks, other.chunks];
    const max = Math.min(mine.length, theirs.length);
    let front = 0;
    while (front < max && mine[front] === theirs[front]) front++;
    let back = 0;
    while (front + back < max && mine.at(-1 - back) === theirs.at(-1 - back)) back++;
    const before = mine.slice(front, mine.length - back).join('');
    const after = theirs.slice(front, theirs.length - back).join('');
    const change = changeBetween(before, after);
    const base = this.#starts[front] ?? this.length;
    return change && { start: base + change.start, end: base + change.end, newEnd: base + change.newEnd };
  }

  #head(chunk: number, end: number): string {
    return this.chunks[chunk]?.slice(0, end - this.#starts[chunk]!) ?? '';
  }

  #tail(chunk: number, start: number): string {
    return this.chunks[chunk]?.slice(start - this.#starts[chunk]!) ?? '';
  }

  /** The index of the chunk that contains an offset; the last one for the end of the text. */
  #at(offset: number): number {
    let low = 0;
    let high = this.#starts.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (this.#starts[middle]! <= offset) low = middle;
      else high = middle - 1;
    }
    return low;
  }
}

/** One chunk if the text is at most twice the target size, otherwise several of about equal length. */
function splitIntoChunks(text: string): string[] {
  if (text.length < 2 * usual) return [text];
  const chunks: string[] = [];
  const count = Math.floor(text.length / usual);
  for (let i = 0; i < count; i++) {
    chunks.push(
      text.slice(Math.round((i * text.length) / count), Math.round(((i + 1) * text.length) / count)),
    );
  }
  return chunks;
}
