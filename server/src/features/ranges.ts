import type { AnyNode } from '../document/node.ts';
import { rangeOf } from '../text/span.ts';
import type { Range } from '../text/span.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { rootOf } from './names.ts';
import { placeAt } from './place.ts';

/** Lines, from 0, both included. */
export interface Fold {
  readonly from: number;
  readonly to: number;
  readonly comment: boolean;
}

/** Sections, entries and values that take several lines, and comments of several lines. */
export function folds(workspace: Workspace, uri: string): Fold[] {
  const document = workspace.document(uri);
  const root = document && rootOf(document);
  if (!document) return [];
  const { lines, text } = document;
  const line = (offset: number): number => lines.positionAt(offset).line;
  const found = new Map<number, Fold>();
  /** @returns whether it spans several lines; a single line contains nothing to fold */
  const add = (start: number, end: number, comment = false): boolean => {
    const [from, to] = [line(start), line(end)];
    // Keep the widest fold starting on each line.
    if (to > from && to > (found.get(from)?.to ?? -1)) found.set(from, { from, to, comment });
    return to > from;
  };
  const visit = (node: AnyNode): void => {
    if (node.span.origin.uri !== uri) return;
    if (node.kind === 'map') {
      for (const { keySpan, value } of node.entries) {
        if (keySpan.origin.uri !== uri || value.span.origin.uri !== uri) continue;
        const start = rangeOf(keySpan).start;
        const end = rangeOf(value.span).end;
        // An alias refers to a value elsewhere.
        if (end < start) continue;
        if (add(start, text[end - 1] === '\n' ? end - 1 : end)) visit(value);
      }
    } else if (node.kind === 'list') {
      for (const item of node.items as readonly AnyNode[]) {
        const { start, end } = rangeOf(item.span);
        if (item.kind !== 'scalar' && add(start, end)) visit(item);
      }
    }
  };
  if (root) visit(root);
  for (const { index, 0: block } of text.matchAll(/^[ \t]*#.*(?:\r?\n[ \t]*#.*)+/gm)) {
    add(index, index + block.length, true);
  }
  return [...found.values()].sort((a, b) => a.from - b.from);
}

/** Selection ranges, innermost first; each contains the previous one. */
export function selectionsAt(workspace: Workspace, uri: string, offset: number): Range[] {
  const document = workspace.document(uri);
  const place = document && placeAt(document, offset);
  if (!document || !place) return [];
  const found: Range[] = [];
  const add = (range: Range): void => {
    const inner = found.at(-1);
    const holds = range.start <= offset && offset <= range.end;
    const wider = !inner || (range.start <= inner.start && range.end >= inner.end);
    const same = inner?.start === range.start && inner.end === range.end;
    if (range.uri === uri && holds && wider && !same) found.push(range);
  };
  if (place.onKey && place.entry) add(rangeOf(place.entry.keySpan));
  for (const [i, node] of [...place.chain.entries()].reverse()) {
    add(rangeOf(node.span));
    const parent = place.chain[i - 1];
    const entry = parent?.kind === 'map' ? parent.entries.find(({ value }) => value === node) : undefined;
    if (entry && rangeOf(node.span).end >= rangeOf(entry.keySpan).start) {
      add({ uri, start: rangeOf(entry.keySpan).start, end: rangeOf(node.span).end });
    }
  }
  add({ uri, start: 0, end: document.text.length });
  return found;
}
