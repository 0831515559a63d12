import type { AnyNode } from '../document/node.ts';
import { rangeOf } from '../text/span.ts';
import type { Range } from '../text/span.ts';
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import { resolve } from '../workspace/named-files.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { entriesIn, rootOf } from './names.ts';

export interface Link {
  readonly range: Range;
  /** A file's URI, or a web address as it is written. */
  readonly target: string;
  readonly tooltip: Phrase;
}

const ADDRESS = /^https?:\/\/[^\s<>"']+$/i;

/** Files that are used, photographs, and addresses of sources. */
export function links(workspace: Workspace, uri: string): Link[] {
  const document = workspace.document(uri);
  const root = document && rootOf(document);
  if (!document || !root) return [];
  const found: Link[] = [];
  const add = (
    node: AnyNode | undefined,
    target: (text: string) => string | undefined,
    tooltip: Phrase,
  ): void => {
    if (node?.kind !== 'scalar' || typeof node.value !== 'string' || node.span.origin.uri !== uri) return;
    const to = target(node.value.trim());
    if (to !== undefined) found.push({ range: rangeOf(node.span), target: to, tooltip });
  };
  const file = (path: string): string | undefined =>
    path === '' || /^[a-z][a-z0-9+.-]+:/i.test(path) ? undefined : workspace.meant(resolve(uri, path));
  const uses = root.entry('uses')?.value;
  if (uses?.kind === 'list')
    for (const item of uses.items as readonly AnyNode[]) add(item, file, say`Open the file`);
  for (const entry of entriesIn(document, 'evidence'))
    add(entry.entry('photo')?.value, file, say`Open the photograph`);
  const address = (text: string): string | undefined => (ADDRESS.test(text) ? text : undefined);
  for (const entry of entriesIn(document, 'sources'))
    add(entry.entry('where')?.value, address, say`Open the source`);
  return found;
}
