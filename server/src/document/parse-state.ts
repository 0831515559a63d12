import { emptyList, fastFlatMap } from '../base/collections.ts';
import type { AnyNode, Entry } from './node.ts';
import { memoByIdentity } from '../incremental/memo.ts';
import { LocatedEntry, LocatedMap, limits, list, scalar, tooMany, twice } from './piece.ts';
import type { AnyMap, SyntaxProblem, ParsedPiece } from './piece.ts';
import type { Rope } from '../text/rope.ts';
import type { Change } from '../text/change.ts';
import type { Origin } from '../text/span.ts';

/** A top-level section as it was read: in one piece, or in one piece for each item of its list. */
export interface ParsedSection {
  readonly key: string;
  start: number;
  end: number;
  /** The spans of the key and, for a list, of the whole list. */
  readonly origin: Origin;
  readonly list: boolean;
  pieces: readonly ParsedPiece[];
  readonly entry: Entry;
}

/** A text read into the located tree. */
export interface ParseResult {
  readonly text: Rope;
  readonly root: AnyMap | undefined;
  readonly problems: readonly SyntaxProblem[];
  /** The sections it was parsed in; empty if it was parsed whole. */
  readonly sections: readonly ParsedSection[];
  /** Lines outside every section and item. */
  readonly strays: readonly SyntaxProblem[];
  /** How it differs from the earlier text it was read after. */
  readonly change?: Change | undefined;
}

/**
 * Assembles sections into one tree.
 * @param known the root of an earlier text; it is kept when its entries are the same objects
 */
export function assemble(
  uri: string,
  text: Rope,
  sections: readonly ParsedSection[],
  strays: readonly SyntaxProblem[],
  known?: AnyMap,
): ParseResult {
  const entries: Entry[] = [];
  const problems: SyntaxProblem[] = [];
  const seen = new Set<string>();
  for (const { key, entry, pieces } of sections) {
    for (const problem of pieceTotals(pieces).problems) problems.push(problem);
    const beyond = pieces[limits.entries]?.top;
    if (beyond) problems.push({ kind: 'too-large', span: beyond.span, message: tooMany, section: key });
    if (seen.has(key)) {
      problems.push({ kind: 'key-twice', span: entry.keySpan, message: twice(key), section: key });
    } else entries.push(entry);
    seen.add(key);
  }
  for (const stray of strays) problems.push(stray);
  const from = sections[0]!.start;
  const to = text.contentEnd;
  const same =
    known?.entries.length === entries.length && known.entries.every((entry, i) => entry === entries[i]);
  let root: AnyMap;
  if (same) {
    root = known;
    Object.assign(root.span, { from, to });
  } else root = new LocatedMap(entries, false, { uri, base: 0 }, from, to);
  return { text, root, problems: problems.slice(0, limits.problems), sections, strays };
}

/** Totals over the pieces of a section. */
export const pieceTotals = memoByIdentity((pieces: readonly ParsedPiece[]) => {
  const problems: SyntaxProblem[] = [];
  let nodeCount = 0;
  for (const piece of pieces) {
    nodeCount += piece.nodeCount;
    for (const problem of piece.problems) problems.push(problem);
  }
  return { weight: nodeCount, problems };
});

/** The entry of a section that is a list. Its span runs from the first dash to the end of the last item. */
export function listEntry(
  text: Rope,
  { key, start, origin }: Pick<ParsedSection, 'key' | 'start' | 'origin'>,
  pieces: readonly ParsedPiece[],
): Entry {
  const read = pieces.length > limits.entries ? pieces.slice(0, limits.entries) : pieces;
  const items = fastFlatMap(read, ({ top }): readonly AnyNode[] =>
    top?.kind === 'list' ? top.items : emptyList,
  );
  const { from, to } = listExtent(text, start, pieces);
  return new LocatedEntry(key, list(items, false, origin, from, to), origin, 0, key.length);
}

/** The entry of a section that was read in one piece. */
export function singleEntry(key: string, { top, origin }: ParsedPiece): Entry {
  const value = top?.kind === 'map' ? top.entries[0]?.value : undefined;
  return new LocatedEntry(key, value ?? scalar(null, origin, 0, key.length), origin, 0, key.length);
}

/**
 * Whether what looks like one section by its line starts holds another entry: a colon at the start of an indented line may
 * end the value before it. Then the text is parsed as a whole.
 */
export const holdsMore = ({ top }: ParsedPiece): boolean => top?.kind === 'map' && top.entries.length > 1;

export function listExtent(
  text: Rope,
  start: number,
  pieces: readonly ParsedPiece[],
): { from: number; to: number } {
  const first = pieces[0]!;
  const last = pieces.at(-1)!;
  return {
    from: first.start - start + text.slice(first.start, first.end).indexOf('-'),
    to: last.start - start + text.slice(last.start, last.end).trimEnd().length,
  };
}
