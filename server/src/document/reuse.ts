import { repairsByNote } from '../base/repair-words.ts';
import { waivedByText } from '../base/waiver-words.ts';
import type { AnyNode, Entry } from './node.ts';
import type { ParsedPiece } from './piece.ts';
import type { Rope } from '../text/rope.ts';
import type { Span } from '../text/span.ts';

/** Keys that hold free prose: shown in prints and hovers, analysed only for words of `base/repair-words.ts` and `base/waiver-words.ts`. */
const prose: ReadonlySet<string> = new Set(['note']);

/**
 * If a fresh parse of an entry equals the earlier one apart from spans and prose, copies those into the earlier
 * nodes, which then stand for the new text. Results cached on them stay valid, because they may depend on
 * values, but never on prose, and on positions only through spans.
 * @returns whether the two are equal; if not, nothing is changed
 */
export function reuseIfEquivalent(
  earlier: ParsedPiece,
  fresh: ParsedPiece,
  before: Rope,
  after: Rope,
): boolean {
  if (earlier.problems.length > 0 || fresh.problems.length > 0 || !earlier.top || !fresh.top) return false;
  const written = (text: Rope, base: number, { from, to }: Span): string =>
    text.slice(base + from, base + to);
  const [was, is] = [earlier.start, fresh.start];

  const same = (a: AnyNode, b: AnyNode, isProse: boolean): boolean => {
    if (a.flow !== b.flow) return false;
    if (a.kind === 'scalar' && b.kind === 'scalar') {
      if (isProse && !a.rejectedBySchema && isPlainText(a.value) && isPlainText(b.value))
        return (
          repairsByNote(a.value) === repairsByNote(b.value) && waivedByText(a.value) === waivedByText(b.value)
        );
      // Compare the source text too: `00` and `0` are the same number but different glove classes.
      return Object.is(a.value, b.value) && written(before, was, a.span) === written(after, is, b.span);
    }
    if (a.kind === 'list' && b.kind === 'list') {
      const [mine, theirs] = [a.items as readonly AnyNode[], b.items as readonly AnyNode[]];
      return mine.length === theirs.length && mine.every((node, i) => same(node, theirs[i]!, false));
    }
    return a.kind === 'map' && b.kind === 'map' && sameEntries(a.entries, b.entries);
  };
  // A key without a colon is part of the value before it (`reason: cut, and welded`): what is told of it quotes the text.
  const spread = (text: Rope, base: number, { keySpan, value }: Entry): string | undefined => {
    if (value.kind !== 'scalar' || value.value !== null) return undefined;
    const isBare = !written(text, base, { ...keySpan, to: keySpan.to + 1 }).includes(':');
    return isBare ? written(text, base, { ...keySpan, from: 0 }) : undefined;
  };
  const sameEntries = (a: readonly Entry[], b: readonly Entry[]): boolean =>
    a.length === b.length &&
    a.every(
      (entry, i) =>
        entry.key === b[i]!.key &&
        same(entry.value, b[i]!.value, prose.has(entry.key)) &&
        spread(before, was, entry) === spread(after, is, b[i]!),
    );

  if (!same(earlier.top, fresh.top, false)) return false;
  copyPositions(earlier.top, fresh.top);
  earlier.start = fresh.start;
  earlier.end = fresh.end;
  earlier.origin.base = fresh.origin.base;
  return true;
}

/** Whether a value is text without a `$parameter`, which may bring words of its own. */
const isPlainText = (value: unknown): value is string => typeof value === 'string' && !value.includes('$');

function copyPositions(earlier: AnyNode, fresh: AnyNode): void {
  move(earlier.span, fresh.span);
  if (earlier.kind === 'scalar' && fresh.kind === 'scalar') {
    (earlier as { value: unknown }).value = fresh.value;
  } else if (earlier.kind === 'list' && fresh.kind === 'list') {
    (earlier.items as readonly AnyNode[]).forEach((item, i) =>
      copyPositions(item, fresh.items[i] as AnyNode),
    );
  } else if (earlier.kind === 'map' && fresh.kind === 'map') {
    earlier.entries.forEach((entry, i) => {
      move(entry.keySpan, fresh.entries[i]!.keySpan);
      copyPositions(entry.value, fresh.entries[i]!.value);
    });
  }
}

/** Elsewhere spans are read-only, except for the list span that `splice` extends. */
function move(span: Span, { from, to }: Span): void {
  Object.assign(span, { from, to });
}
