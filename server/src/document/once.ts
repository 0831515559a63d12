/**
 * The one incremental mechanism: what follows from a node alone is computed once for that node. An edit keeps the
 * node objects of every piece it did not touch, so only what it touched is computed again. The function may use
 * nothing that can change while the node stays the same.
 */
export function perNode<N extends object, A extends readonly unknown[], T>(
  compute: (node: N, ...more: A) => T,
): (node: N, ...more: A) => T {
  const known = new WeakMap<N, { readonly value: T; readonly more: A }>();
  return (node, ...more) => {
    let found = known.get(node);
    // An aliased node stands in several places; it is kept for the one it was asked for last.
    if (!found?.more.every((one, i) => one === more[i])) {
      found = { value: compute(node, ...more), more };
      known.set(node, found);
    }
    return found.value;
  };
}
