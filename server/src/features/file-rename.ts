import { URI, Utils } from 'vscode-uri';
import { rangeOf } from '../text/span.ts';
import type { Edit } from '../text/span.ts';
import type { AnyNode } from '../document/node.ts';
import { photoUri, resolve } from '../workspace/named-files.ts';
import type { WrittenPath } from '../workspace/summary.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { scalarText } from './describe.ts';
import { entriesIn, rootOf } from './names.ts';

/** A file or a folder that gets another address. */
export interface Move {
  readonly from: string;
  readonly to: string;
}

/**
 * The edits with which every path under `uses:` and every photograph leads to the same file as before the moves: paths to
 * what is moved, and the paths in files that are moved themselves. They are for the texts before the moves.
 */
export function followMoves(workspace: Workspace, moves: readonly Move[]): Edit[] {
  return workspace.uris.flatMap((uri): Edit[] => {
    const home = moved(uri, moves);
    return (workspace.summary(uri)?.paths ?? pathsIn(workspace, uri)).flatMap((written): Edit[] => {
      const { path, target, start, end, quotes } = written;
      const goal = moved(target, moves);
      if (resolve(home, path) === goal || quotes === undefined) return [];
      return [{ uri, start, end, text: inQuotes(relativePath(home, goal), quotes) }];
    });
  });
}

/** Where a file lies after the moves. */
function moved(uri: string, moves: readonly Move[]): string {
  for (const { from, to } of moves) {
    if (uri === from) return to;
    if (uri.startsWith(`${from}/`)) return to + uri.slice(from.length);
  }
  return uri;
}

/** The paths to other files in one of which the tree is there. */
export function pathsIn(workspace: Workspace, uri: string): WrittenPath[] {
  const document = workspace.document(uri);
  if (!document) return [];
  const uses = rootOf(document)?.entry('uses')?.value;
  const used = uses?.kind === 'list' ? (uses.items as readonly AnyNode[]) : [];
  const photos = entriesIn(document, 'evidence').map((entry) => entry.entry('photo')?.value);
  const found = new Map<number, WrittenPath>();
  for (const [nodes, isPhoto] of [[used, false] as const, [photos, true] as const]) {
    for (const node of nodes) {
      if (node?.kind !== 'scalar' || typeof node.value !== 'string' || node.span.origin.uri !== uri) continue;
      const target = isPhoto ? photoUri(node as never) : resolve(uri, node.value);
      const { start, end } = rangeOf(node.span);
      const quotes = quotesOf(document.slice(start, end), node.value);
      // Through an anchor, one text may be reached twice.
      if (target !== undefined) found.set(start, { path: node.value, target, start, end, quotes });
    }
  }
  return [...found.values()];
}

/** The quotes in which a value is written; undefined where it is not written on one line. */
const quotesOf = (raw: string, value: string): WrittenPath['quotes'] =>
  raw.startsWith('"') ? '"' : raw.startsWith("'") ? "'" : raw === value ? '' : undefined;

/** As it is written in a file: from its folder, with forward slashes. */
function relativePath(from: string, to: string): string {
  const [here, there] = [Utils.dirname(URI.parse(from)), URI.parse(to)];
  const [up, down] = [here.path.split('/'), there.path.split('/')].map((path) => path.filter(Boolean));
  let common = 0;
  while (common < up!.length && common < down!.length - 1 && up![common] === down![common]) common++;
  const steps = up!.length - common;
  return [...(steps === 0 ? ['.'] : Array<string>(steps).fill('..')), ...down!.slice(common)].join('/');
}

/** A path in the quotes of the one it replaces. */
function inQuotes(path: string, quotes: '' | '"' | "'"): string {
  if (quotes === '"') return JSON.stringify(path);
  return quotes === "'" ? `'${path.replaceAll("'", "''")}'` : scalarText(path);
}
