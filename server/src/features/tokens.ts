import type { AnyNode } from '../document/node.ts';
import { rangeOf } from '../text/span.ts';
import { splitQuantity } from '../document/quantity.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { namesIn, namesInParts, partsIn } from './names.ts';
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

/**
 * Names and quantities of a file, in the order of the text; none spans lines or overlaps another.
 * @param within only those that touch this range; what lies outside is not even looked at
 */
export function tokensIn(
  workspace: Workspace,
  uri: string,
  within?: { readonly start: number; readonly end: number },
): Token[] {
  const plan = workspace.plan(uri);
  if (!plan) return [];
  const parts = partsIn(plan.document, within?.start, within?.end);
  const found = new Map<number, Token>();
  const add = ({ start, end, ...rest }: Token): void => {
    if (within && (end < within.start || start >= within.end)) return;
    const text = plan.document.slice(start, end);
    if (!found.has(start) && text !== '' && !/[\r\n]/.test(text)) found.set(start, { start, end, ...rest });
  };
  for (const { kind, span, role } of within ? namesInParts(plan, parts) : namesIn(plan)) {
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
  for (const { section, node, isItem } of parts) visit(node, isItem ? [section, undefined] : [section]);
  const sorted = [...found.values()].sort((a, b) => a.start - b.start);
  return sorted.filter((token, i) => i === 0 || token.start >= sorted[i - 1]!.end);
}
