import type { Document } from '../document/document.ts';
import type { AnyNode, Entry } from '../document/node.ts';
import { covers, rangeOf } from '../text/span.ts';

/** The innermost value or key at an offset, and its path of keys and indices. */
export interface NodeAtOffset {
  readonly path: readonly (string | number)[];
  /** The innermost value at the offset; for an offset on a key, that key's value. */
  readonly node: AnyNode;
  /** The innermost entry, when the value belongs to a key. */
  readonly entry: Entry | undefined;
  readonly onKey: boolean;
  /** The values from the root to `node`, both included. */
  readonly chain: readonly AnyNode[];
}

/** Finds the node at `offset`; `undefined` if the document has no readable root. */
export function placeAt(document: Document, offset: number): NodeAtOffset | undefined {
  let node = document.root as AnyNode | undefined;
  if (!node) return undefined;
  const path: (string | number)[] = [];
  const chain: AnyNode[] = [node];
  let entry: Entry | undefined;
  for (;;) {
    if (node.kind === 'map') {
      const found: Entry | undefined = node.entries.find(
        ({ keySpan, value }) => covers(keySpan, offset) || covers(value.span, offset),
      );
      if (!found) break;
      entry = found;
      path.push(found.key);
      node = found.value;
      chain.push(node);
      if (covers(found.keySpan, offset)) return { path, node, entry, onKey: true, chain };
    } else if (node.kind === 'list') {
      const items = node.items as readonly AnyNode[];
      const index = items.findIndex((item) => {
        const { uri, start, end } = rangeOf(item.span);
        return uri === document.uri && start <= offset && offset <= end;
      });
      if (index < 0) break;
      entry = undefined;
      path.push(index);
      node = items[index]!;
      chain.push(node);
    } else break;
  }
  return { path, node, entry, onKey: false, chain };
}
