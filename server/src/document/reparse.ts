import { hasAnchor, limits, parseItem, parsePiece } from './piece.ts';
import type { ParsedPiece } from './piece.ts';
import { assemble, holdsMore, listEntry, listExtent, singleEntry, pieceTotals } from './parse-state.ts';
import type { ParseResult, ParsedSection } from './parse-state.ts';
import { splitSections } from './split.ts';
import { reuseIfEquivalent } from './reuse.ts';
import type { Change } from '../text/change.ts';
import type { Rope } from '../text/rope.ts';

/**
 * The pieces of a section that a change touches, from `first` to `last`, and their range in the earlier text.
 */
interface TouchedPieces {
  readonly first: number;
  readonly last: number;
  readonly start: number;
  readonly end: number;
}

/**
 * Reparses only the pieces that a change touches. The others are reused: same objects, moved to their new
 * offset. A touched piece whose meaning is unchanged keeps its nodes too.
 *
 * Applies only if splitting the whole text again would provably give the same pieces elsewhere: the change
 * lies within one section, after its key, and the touched text still splits into items of the same list.
 * @returns `undefined` if the change may reach further; nothing is changed then
 */
export function splice(
  uri: string,
  text: Rope,
  earlier: ParseResult,
  change: Change,
): ParseResult | undefined {
  const { sections, strays } = earlier;
  const at = sections.findIndex(({ start, end }) => start < change.start && change.start <= end);
  const section = sections[at];
  if (!section || strays.length > 0) return undefined;
  // The line break before the next section must stay.
  if (at === sections.length - 1 ? change.end > section.end : change.end >= section.end) return undefined;
  const window = section.list
    ? windowOf(section.pieces, change)
    : { first: 0, last: 0, start: section.start, end: section.end };
  if (!window) return undefined;
  const shift = change.newEnd - change.end;
  const source = text.slice(window.start, window.end + shift);
  if (hasAnchor(source)) return undefined;
  const replaced = section.pieces.slice(window.first, window.last + 1);
  const fresh = section.list
    ? readItems(uri, text, section.key, source, window.start, replaced, earlier.text, change)
    : readSingle(uri, text, section, source);
  if (
    !fresh ||
    sections.reduce((sum, { pieces }) => sum + pieceTotals(pieces).weight, pieceTotals(fresh).weight) >
      limits.nodes
  )
    return undefined;

  // Point of no return: from here on, reused pieces are mutated.
  const kept = matchReusable(replaced, fresh, earlier.text, text, change);
  for (const piece of section.pieces.slice(window.last + 1)) move(piece, shift);
  for (const later of sections.slice(at + 1)) {
    for (const piece of later.pieces) move(piece, shift);
    if (later.list) later.origin.base += shift;
    later.start += shift;
    later.end += shift;
  }
  section.end += shift;
  if (kept.length === replaced.length && kept.every((piece, i) => piece === replaced[i])) {
    if (section.list) {
      Object.assign(section.entry.value.span, listExtent(text, section.start, section.pieces));
    }
    return assemble(uri, text, sections, strays, earlier.root);
  }
  const pieces = [
    ...section.pieces.slice(0, window.first),
    ...kept,
    ...section.pieces.slice(window.last + 1),
  ];
  const changed: ParsedSection = section.list
    ? { ...section, pieces, entry: listEntry(text, section, pieces) }
    : { ...section, pieces, origin: pieces[0]!.origin, entry: singleEntry(section.key, pieces[0]!) };
  return assemble(uri, text, sections.with(at, changed), strays);
}

function windowOf(pieces: readonly ParsedPiece[], change: Change): TouchedPieces | undefined {
  // Include an item that the change ends at: the line break or the spaces before its dash may be gone.
  const first = pieces.findLastIndex(({ start }) => start < change.start);
  const last = pieces.findLastIndex(({ start }) => start <= change.end);
  return first < 0 ? undefined : { first, last, start: pieces[first]!.start, end: pieces[last]!.end };
}

/** The items that the touched lines now hold; undefined when they are no longer just items of the same list. */
function readItems(
  uri: string,
  text: Rope,
  key: string,
  source: string,
  start: number,
  replaced: readonly ParsedPiece[],
  before: Rope,
  change: Change,
): ParsedPiece[] | undefined {
  const head = 'list:\n';
  const found = splitSections(head + source);
  const items = found?.sections.length === 1 ? found.sections[0]!.items : undefined;
  if (!items || items[0]?.start !== head.length || found!.strays.length > 0 || found!.hidden !== undefined)
    return undefined;
  const [first] = replaced;
  if (source.indexOf('-') !== before.slice(first!.start, first!.end).indexOf('-')) return undefined;
  const shift = change.newEnd - change.end;
  return items.map((item) => {
    const piece = { start: item.start - head.length + start, end: item.end - head.length + start };
    const moved = piece.start >= change.newEnd ? shift : 0;
    const untouched = moved !== 0 || piece.end <= change.start || piece.start >= change.newEnd;
    const known = untouched
      ? replaced.find(
          (parsedPiece) => parsedPiece.start === piece.start - moved && parsedPiece.end === piece.end - moved,
        )
      : undefined;
    return known ?? parseItem(uri, text, piece, key, 0);
  });
}

function readSingle(
  uri: string,
  text: Rope,
  section: ParsedSection,
  source: string,
): ParsedPiece[] | undefined {
  const found = splitSections(source);
  const [own, other] = found?.sections ?? [];
  if (
    !own ||
    other ||
    own.items ||
    own.key !== section.key ||
    own.start !== 0 ||
    found!.strays.length > 0 ||
    found!.hidden !== undefined
  ) {
    return undefined;
  }
  const { start } = section;
  const damages = { section: section.key, contained: false };
  const read = parsePiece(uri, text, { start, end: start + source.length }, damages, 0);
  return holdsMore(read) ? undefined : [read];
}

/** Replaces fresh pieces by equivalent earlier ones, matching from the front, then from the back. */
function matchReusable(
  earlier: readonly ParsedPiece[],
  fresh: ParsedPiece[],
  before: Rope,
  after: Rope,
  change: Change,
): ParsedPiece[] {
  const kept = [...fresh];
  const shift = change.newEnd - change.end;
  const take = (i: number, k: number): boolean => {
    const [old, now] = [earlier[i]!, kept[k]!];
    if (old === now) {
      if (old.start >= change.end) move(old, shift);
      return true;
    }
    // Skip an earlier piece that is already reused elsewhere, and a fresh one that is itself an earlier
    // piece.
    if (earlier.includes(now) || kept.includes(old) || !reuseIfEquivalent(old, now, before, after))
      return false;
    kept[k] = old;
    return true;
  };
  const both = Math.min(earlier.length, kept.length);
  let front = 0;
  while (front < both && take(front, front)) front++;
  let back = 0;
  while (front + back < both && take(earlier.length - 1 - back, kept.length - 1 - back)) back++;
  // Shift reused pieces between the two matched ends.
  const rest = kept.slice(front, kept.length - back);
  for (const piece of rest) if (earlier.includes(piece) && piece.start >= change.end) move(piece, shift);
  return kept;
}

function move(piece: ParsedPiece, shift: number): void {
  piece.start += shift;
  piece.end += shift;
  piece.origin.base += shift;
}
