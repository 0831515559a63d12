import type { AnyNode } from '../document/node.ts';
import { rangeOf } from '../text/span.ts';
import type { Edit } from '../text/span.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { rootOf } from './names.ts';

/**
 * Safe tidying, nothing else: blanks at line ends go, blank lines at the end of the file go, and the file ends with
 * one line break. Indentation, order, quoting, comments and everything inside texts of several lines stay as written.
 */
export function format(workspace: Workspace, uri: string): Edit[] {
  const text = workspace.text(uri);
  if (text === undefined || text.trim() === '') return [];
  const document = workspace.document(uri);
  // Where the text cannot be read, blanks may belong to a value that is not closed.
  if (!document || document.problems.some(({ kind }) => kind !== 'key-twice')) return [];
  const kept = severalLines(document && rootOf(document), uri, text);
  const edits: Edit[] = [];
  for (const { index, 0: blanks } of text.matchAll(/[ \t]+(?=\r?\n)/g)) {
    if (!kept.some(({ start, end }) => start <= index && index < end)) {
      edits.push({ uri, start: index, end: index + blanks.length, text: '' });
    }
  }
  const eol = text.includes('\r\n') ? '\r\n' : '\n';
  const body = text.trimEnd().length;
  const tail = kept.find(({ end }) => end > body);
  if (!tail && text.slice(body) !== eol) {
    return [...edits.filter(({ end }) => end <= body), { uri, start: body, end: text.length, text: eol }];
  }
  return edits;
}

/** Multi-line scalars: their text is content, blanks included. */
function severalLines(
  root: AnyNode | undefined,
  uri: string,
  text: string,
): { start: number; end: number }[] {
  const found: { start: number; end: number }[] = [];
  const visit = (node: AnyNode): void => {
    if (node.span.origin.uri !== uri) return;
    if (node.kind === 'map') for (const { value } of node.entries) visit(value);
    else if (node.kind === 'list') for (const item of node.items as readonly AnyNode[]) visit(item);
    else {
      const { start, end } = rangeOf(node.span);
      if (text.slice(start, end).includes('\n')) found.push({ start, end });
    }
  };
  if (root) visit(root);
  return found;
}
