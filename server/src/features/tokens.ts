import type { AnyNode } from '../document/node.ts';
import { rangeOf } from '../text/span.ts';
import { splitQuantity } from '../document/quantity.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { namesIn, rootOf } from './names.ts';
import { schemaAt } from './schema.ts';
import type { Path } from './schema.ts';

/** Token types that a grammar cannot determine. */
export type TokenKind =
  | 'task'
  | 'connector'
  | 'operation'
  | 'zone'
  | 'consumable'
  | 'procedure'
  | 'parameter'
  | 'source'
  | 'rate'
  | 'finding'
  | 'quantity';

export interface Token {
  readonly start: number;
  readonly end: number;
  readonly kind: TokenKind;
  readonly defines: boolean;
}

/** Names and quantities of a file, in the order of the text; none spans lines or overlaps another. */
export function tokensIn(workspace: Workspace, uri: string): Token[] {
  const plan = workspace.plan(uri);
  const root = plan && rootOf(plan.document);
  if (!plan || !root) return [];
  const found = new Map<number, Token>();
  const add = (token: Token): void => {
    const text = plan.document.slice(token.start, token.end);
    if (!found.has(token.start) && text !== '' && !/[\r\n]/.test(text)) found.set(token.start, token);
  };
  for (const { kind, span, role } of namesIn(plan)) {
    const { start, end } = rangeOf(span);
    add({ start, end, kind, defines: role === 'definition' });
  }
  const visit = (node: AnyNode, path: Path): void => {
    if (node.span.origin.uri !== uri) return;
    if (node.kind === 'map') for (const { key, value } of node.entries) visit(value, [...path, key]);
    else if (node.kind === 'list')
      for (const item of node.items as readonly AnyNode[]) visit(item, [...path, undefined]);
    else if (typeof node.value === 'string' && splitQuantity(node.value) && quantityAt(path)) {
      const { start, end } = rangeOf(node.span);
      add({ start, end, kind: 'quantity', defines: false });
    }
  };
  const known = new Map<string, boolean>();
  const quantityAt = (path: Path): boolean => {
    const key = path.join();
    let is = known.get(key);
    if (is === undefined) {
      is = schemaAt(plan.document.kind, path)?.['x-quantity'] !== undefined;
      known.set(key, is);
    }
    return is;
  };
  visit(root, []);
  const sorted = [...found.values()].sort((a, b) => a.start - b.start);
  return sorted.filter((token, i) => i === 0 || token.start >= sorted[i - 1]!.end);
}
