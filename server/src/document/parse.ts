import type { AnyNode, Entry } from './node.ts';
import { LocatedMap, limits, readPiece, scalar, twice } from './piece.ts';
import type { AnyMap, Problem, ReadPiece } from './piece.ts';
import { cut } from './sections.ts';
import type { Cut, Piece, Section } from './sections.ts';
import { changeBetween } from './text.ts';
import type { Change } from './text.ts';

export { limits };
export type { Problem };

/** A text read into the located tree. */
export interface Parsed {
  readonly text: string;
  readonly root: AnyMap | undefined;
  readonly problems: readonly Problem[];
  /** The pieces it was read in, by start; none when it was read whole. */
  readonly pieces: ReadonlyMap<number, ReadPiece>;
}

/** Anchors and aliases may tie pieces together; a `&` or `*` in prose costs only the shortcut. */
const ANCHOR = /(?:^|[\s,[{:-])[&*][^\s,[\]{}]/m;

/**
 * Reads one YAML 1.2 document into the located tree. Never throws: what cannot be read is a problem with a place,
 * and the rest is returned.
 *
 * With `earlier`, the reading of an earlier text of the same file, only the pieces that the difference touches are
 * parsed; the others are taken over, the same objects with a new base. `earlier` must not be used afterwards.
 */
export function parse(uri: string, text: string, earlier?: Parsed): Parsed {
  if (text.length > limits.text) {
    const span = { origin: { uri, base: 0 }, from: 0, to: Math.min(80, text.length) };
    const size = (text.length / 1e6).toFixed(1);
    const message = `This file holds ${size} million characters; Plugward reads up to ${limits.text / 1e6} million. Split it into several plans.`;
    return { text, root: undefined, problems: [{ kind: 'too-large', span, message }], pieces: new Map() };
  }
  const pieces = cut(text);
  return (pieces && new Assembly(uri, text, earlier).read(pieces)) ?? readWhole(uri, text);
}

function readWhole(uri: string, text: string): Parsed {
  const { top, problems, origin } = readPiece(uri, text, { start: 0, end: text.length }, {}, 0);
  if (top?.kind === 'map')
    return { text, root: top, problems: problems.slice(0, limits.problems), pieces: new Map() };
  const message = 'Nothing to check here yet: a file starts with a key such as `plan: HL-0147`.';
  const empty: Problem = {
    kind: 'not-yaml',
    span: { origin, from: 0, to: Math.min(text.length, 80) },
    message,
  };
  return { text, root: undefined, problems: problems.length > 0 ? problems : [empty], pieces: new Map() };
}

/** Puts the pieces of a text together to one tree. */
class Assembly {
  readonly #problems: Problem[] = [];
  readonly #pieces = new Map<number, ReadPiece>();
  readonly #change: Change | undefined;
  #spent = 0;

  constructor(
    readonly uri: string,
    readonly text: string,
    readonly earlier: Parsed | undefined,
  ) {
    this.#change = earlier && changeBetween(earlier.text, text);
  }

  /** @returns undefined when a piece holds an anchor or an alias: then only the whole text can be read. */
  read({ sections, strays }: Cut): Parsed | undefined {
    const entries: Entry[] = [];
    const seen = new Set<string>();
    for (const section of sections) {
      const entry = section.items ? this.#list(section, section.items) : this.#single(section);
      if (!entry) return undefined;
      if (seen.has(entry.key)) {
        const message = twice(entry.key);
        this.#problems.push({ kind: 'key-twice', span: entry.keySpan, message, section: entry.key });
      } else entries.push(entry);
      seen.add(entry.key);
    }
    for (const stray of strays) this.#stray(stray);
    const origin = { uri: this.uri, base: 0 };
    const span = { origin, from: sections[0]!.start, to: this.text.trimEnd().length };
    return {
      text: this.text,
      root: new LocatedMap(span, false, entries),
      problems: this.#problems.slice(0, limits.problems),
      pieces: this.#pieces,
    };
  }

  #single(section: Section): Entry | undefined {
    const read = this.#piece(section, { section: section.key, contained: false });
    if (!read) return undefined;
    const { key } = section;
    const keySpan = { origin: read.origin, from: 0, to: key.length };
    const value = read.top?.kind === 'map' ? read.top.entries[0]?.value : undefined;
    return { key, keySpan, value: value ?? scalar(null, keySpan) };
  }

  #list({ key, start }: Section, pieces: readonly Piece[]): Entry | undefined {
    const items: AnyNode[] = [];
    for (const piece of pieces) {
      const read = this.#piece(piece, { section: key, contained: true });
      if (!read) return undefined;
      if (read.top?.kind !== 'list') continue;
      for (const item of read.top.items as readonly AnyNode[]) {
        if (read.problems.length > 0) item.broken = true;
        items.push(item);
      }
    }
    const origin = { uri: this.uri, base: start };
    const first = pieces[0]!;
    const last = pieces.at(-1)!;
    const indent = this.text.indexOf('-', first.start) - first.start;
    const to = last.start - start + this.text.slice(last.start, last.end).trimEnd().length;
    const span = { origin, from: first.start + indent - start, to };
    const value: AnyNode = { kind: 'list', flow: false, bad: false, span, items: items as never };
    return { key, keySpan: { origin, from: 0, to: key.length }, value };
  }

  #piece(piece: Piece, damages: Pick<Problem, 'section' | 'contained'>): ReadPiece | undefined {
    let read = this.#unchanged(piece, damages.section);
    if (!read) {
      if (ANCHOR.test(this.text.slice(piece.start, piece.end))) return undefined;
      read = readPiece(this.uri, this.text, piece, damages, this.#spent);
    }
    this.#pieces.set(piece.start, read);
    this.#spent += read.weight;
    this.#problems.push(...read.problems);
    return read;
  }

  /** The earlier reading of a piece that lies wholly before or wholly behind the change, moved to its new place. */
  #unchanged({ start, end }: Piece, section: string | undefined): ReadPiece | undefined {
    if (!this.earlier) return undefined;
    const change = this.#change;
    let shift = 0;
    if (change && end > change.start) {
      if (start < change.newEnd) return undefined;
      shift = change.newEnd - change.end;
    }
    const read = this.earlier.pieces.get(start - shift);
    if (!read || read.end - read.start !== end - start || read.section !== section) return undefined;
    read.origin.base = start;
    read.start = start;
    read.end = end;
    return read;
  }

  #stray({ start, end }: Piece): void {
    const source = this.text.slice(start, end);
    const from = source.length - source.trimStart().length;
    const span = {
      origin: { uri: this.uri, base: start },
      from,
      to: Math.max(from, source.trimEnd().length),
    };
    const message = `This line belongs to nothing: "${source.trim().slice(0, 40)}". Write it as \`key: value\`, or start it with \`- \` as an entry of the list above.`;
    this.#problems.push({ kind: 'not-yaml', span, message, section: '', contained: true });
  }
}
