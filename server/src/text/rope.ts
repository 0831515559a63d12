import { changeBetween } from './change.ts';
import type { Change } from './change.ts';

/** About how many characters a stretch holds. Long ones cost at every key that falls into them, short ones by their number. */
const usual = 8_192;

/**
 * A text in stretches. It never changes: an edit gives another one, which builds anew the stretch that it falls into and
 * shares the others. A long text would else be built as a whole at every key.
 */
export class Rope {
  readonly length: number;
  readonly chunks: readonly string[];
  /** Where each begins. */
  readonly #starts: readonly number[];
  #whole: string | undefined;

  private constructor(stretches: readonly string[], whole?: string) {
    const starts: number[] = [];
    let length = 0;
    for (const stretch of stretches) {
      starts.push(length);
      length += stretch.length;
    }
    this.length = length;
    this.chunks = stretches;
    this.#starts = starts;
    this.#whole = whole;
  }

  static of(text: string | Rope): Rope {
    return typeof text === 'string' ? new Rope(inStretches(text), text) : text;
  }

  /** The whole, put together when it is first asked for. */
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
    // What has become short is put to its neighbour.
    if (fresh.length < usual / 4 && last + 1 < this.chunks.length) fresh += this.chunks[++last]!;
    else if (fresh.length < usual / 4 && first > 0) fresh = this.chunks[--first]! + fresh;
    const stretches = this.chunks.slice(0, first);
    for (const stretch of inStretches(fresh)) stretches.push(stretch);
    for (let i = last + 1; i < this.chunks.length; i++) stretches.push(this.chunks[i]!);
    return new Rope(stretches);
  }

  equals(other: Rope): boolean {
    return this.length === other.length && this.diffTo(other) === undefined;
  }

  /** Where the text without the white space at its end is over. */
  get contentEnd(): number {
    for (let i = this.chunks.length - 1; i >= 0; i--) {
      const content = this.chunks[i]!.trimEnd().length;
      if (content > 0) return this.#starts[i]! + content;
    }
    return 0;
  }

  /** A stretch in which another text differs from this one, the smallest but for what both repeat; undefined without one. */
  diffTo(other: Rope): Change | undefined {
    const [mine, theirs] = [this.chunks, other.chunks];
    const most = Math.min(mine.length, theirs.length);
    let front = 0;
    while (front < most && mine[front] === theirs[front]) front++;
    let back = 0;
    while (front + back < most && mine.at(-1 - back) === theirs.at(-1 - back)) back++;
    const before = mine.slice(front, mine.length - back).join('');
    const after = theirs.slice(front, theirs.length - back).join('');
    const change = changeBetween(before, after);
    const base = this.#starts[front] ?? this.length;
    return change && { start: base + change.start, end: base + change.end, newEnd: base + change.newEnd };
  }

  #head(stretch: number, end: number): string {
    return this.chunks[stretch]?.slice(0, end - this.#starts[stretch]!) ?? '';
  }

  #tail(stretch: number, start: number): string {
    return this.chunks[stretch]?.slice(start - this.#starts[stretch]!) ?? '';
  }

  /** The stretch that an offset stands in; the last one for the end of the text. */
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

/** One stretch as long as it is not twice too long, else several of about the same length. */
function inStretches(text: string): string[] {
  if (text.length < 2 * usual) return [text];
  const stretches: string[] = [];
  const count = Math.floor(text.length / usual);
  for (let i = 0; i < count; i++) {
    stretches.push(
      text.slice(Math.round((i * text.length) / count), Math.round(((i + 1) * text.length) / count)),
    );
  }
  return stretches;
}
