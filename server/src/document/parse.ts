import { say } from '../language/phrase.ts';
import { hasAnchor, limits, parseItem, parsePiece, plainYamlError } from './piece.ts';
import type { AnyMap, SyntaxProblem, ParsedPiece } from './piece.ts';
import { assemble, holdsMore, listEntry, singleEntry } from './parse-state.ts';
import type { ParseResult, ParsedSection } from './parse-state.ts';
import { hiddenLineEnd, splitSections } from './split.ts';
import type { SectionSplit, Piece, Section } from './split.ts';
import { splice } from './reparse.ts';
import { Rope } from '../text/rope.ts';
import type { Change } from '../text/change.ts';

export { limits };
export type { ParseResult, SyntaxProblem };

/**
 * Parses one YAML 1.2 document into the located tree. Never throws: what cannot be parsed becomes a
 * `SyntaxProblem` with a span, and the rest is returned.
 *
 * With `earlier`, the reading of an earlier text of the same file, only the pieces that the difference
 * touches are parsed; the others are reused: same objects, new `origin.base`. `earlier` must not be used
 * afterwards. The root object is kept only if nothing but prose, comments and white space changed, and the
 * change lies within one section and needs no full split.
 */
export function parse(uri: string, given: string | Rope, earlier?: ParseResult): ParseResult {
  const text = Rope.of(given);
  if (text.length > limits.text) {
    const span = { origin: { uri, base: 0 }, from: 0, to: Math.min(80, text.length) };
    const size = (text.length / 1e6).toFixed(1);
    const message = say`This file has ${size} million characters; Plugward reads up to ${limits.text / 1e6} million. Split it into several plans.`;
    return unread(text, [{ kind: 'too-large', span, message }]);
  }
  const change = earlier && earlier.text.diffTo(text);
  const spliced = earlier && change && splice(uri, text, earlier, change);
  return { ...(spliced ?? readPieces(uri, text, earlier, change) ?? readWhole(uri, text)), change };
}

function readPieces(
  uri: string,
  text: Rope,
  earlier: ParseResult | undefined,
  change: Change | undefined,
): ParseResult | undefined {
  const pieces = splitSections(String(text));
  return pieces && new Assembly(uri, text, earlier, change).read(pieces);
}

const unread = (text: Rope, problems: readonly SyntaxProblem[], root?: AnyMap): ParseResult => ({
  text,
  root,
  problems: problems.slice(0, limits.problems),
  sections: [],
  strays: [],
});

function readWhole(uri: string, text: Rope): ParseResult {
  const { top, problems, origin } = parsePiece(uri, text, { start: 0, end: text.length }, {}, 0);
  if (top?.kind === 'map') {
    const hidden = hiddenProblems(uri, text, hiddenLineEnd(String(text)));
    return unread(text, [...hidden, ...problems], top as AnyMap);
  }
  if (problems.length > 0) return unread(text, problems);
  const message = say`Nothing to check here yet: a file starts with a key such as \`plan: HL-0147\`.`;
  return unread(text, [
    { kind: 'not-yaml', span: { origin, from: 0, to: Math.min(text.length, 80) }, message },
  ]);
}

/** @param at the offset of a hidden line end, if there is one */
function hiddenProblems(uri: string, text: Rope, at: number | undefined): readonly SyntaxProblem[] {
  if (at === undefined) return [];
  const code = text
    .slice(at, at + 1)
    .charCodeAt(0)
    .toString(16)
    .toUpperCase()
    .padStart(4, '0');
  const span = { origin: { uri, base: at }, from: 0, to: 1 };
  const message = say`There is a hidden character (U+${code}) here. It can look like the end of the line and is none, so what follows it is not read as a line of its own. Put a line break in its place.`;
  return [{ kind: 'not-yaml', span, message, section: '', contained: true }];
}

/** Parses a text piece by piece, reusing earlier pieces that lie wholly before or after the change. */
class Assembly {
  readonly #known: ReadonlyMap<number, ParsedPiece>;
  #spent = 0;

  constructor(
    readonly uri: string,
    readonly text: Rope,
    earlier: ParseResult | undefined,
    readonly change: Change | undefined,
  ) {
    const pieces = change && earlier ? earlier.sections.flatMap((section) => section.pieces) : [];
    this.#known = new Map(pieces.map((piece) => [piece.start, piece]));
  }

  /**
   * @returns undefined if a new piece contains an anchor or alias; the text must then be parsed as a whole.
   */
  read({ sections, strays, hidden }: SectionSplit): ParseResult | undefined {
    const read: ParsedSection[] = [];
    for (const section of sections) {
      const parsedSection = section.items ? this.#list(section, section.items) : this.#single(section);
      if (!parsedSection) return undefined;
      read.push(parsedSection);
    }
    const lost = strays.map((stray) => this.#stray(stray));
    return assemble(this.uri, this.text, read, [...lost, ...hiddenProblems(this.uri, this.text, hidden)]);
  }

  #single({ key, start, end }: Section): ParsedSection | undefined {
    const piece = this.#piece({ start, end }, key, false);
    if (!piece || holdsMore(piece)) return undefined;
    return {
      key,
      start,
      end,
      origin: piece.origin,
      list: false,
      pieces: [piece],
      entry: singleEntry(key, piece),
    };
  }

  #list({ key, start, end }: Section, items: readonly Piece[]): ParsedSection | undefined {
    const pieces: ParsedPiece[] = [];
    for (const item of items) {
      const piece = this.#piece(item, key, true);
      if (!piece) return undefined;
      pieces.push(piece);
    }
    const section = { key, start, end, origin: { uri: this.uri, base: start }, list: true, pieces };
    return { ...section, entry: listEntry(this.text, section, pieces) };
  }

  #piece(piece: Piece, section: string, item: boolean): ParsedPiece | undefined {
    let read = this.#unchanged(piece, section);
    if (!read) {
      if (hasAnchor(this.text.slice(piece.start, piece.end))) return undefined;
      read = item
        ? parseItem(this.uri, this.text, piece, section, this.#spent)
        : parsePiece(this.uri, this.text, piece, { section, contained: false }, this.#spent);
    }
    this.#spent += read.nodeCount;
    return read;
  }

  /** The earlier parse of a piece that lies wholly before or after the change, moved to its new offset. */
  #unchanged({ start, end }: Piece, section: string): ParsedPiece | undefined {
    const { change } = this;
    if (!change) return undefined;
    let shift = 0;
    if (end > change.start) {
      if (start < change.newEnd) return undefined;
      shift = change.newEnd - change.end;
    }
    const read = this.#known.get(start - shift);
    if (!read || read.end - read.start !== end - start || read.section !== section) return undefined;
    read.origin.base = start;
    read.start = start;
    read.end = end;
    return read;
  }

  #stray({ start, end }: Piece): SyntaxProblem {
    const source = this.text.slice(start, end);
    const from = source.length - source.trimStart().length;
    const span = {
      origin: { uri: this.uri, base: start },
      from,
      to: Math.max(from, source.trimEnd().length),
    };
    const message = /^ *\t/.test(source)
      ? plainYamlError('TAB_AS_INDENT')
      : say`This line belongs to nothing: "${source.trim().slice(0, 40)}". Write it as \`key: value\`, or start it with \`- \` as an entry of the list above.`;
    return { kind: 'not-yaml', span, message, section: '', contained: true };
  }
}
