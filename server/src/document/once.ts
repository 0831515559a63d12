/**
 * The one incremental mechanism: what follows from an object alone (a node of the tree, a plan) is computed once for
 * that object. An edit keeps the node objects of every piece it did not touch, so only what it touched is computed
 * again. The function may use nothing that can change while the object stays the same.
 */
export function once<N extends object, A extends readonly unknown[], T>(
  compute: (object: N, ...more: A) => T,
): (object: N, ...more: A) => T {
  const known = new WeakMap<N, { readonly value: T; readonly more: A }>();
  return (object, ...more) => {
    let found = known.get(object);
    // An aliased node stands in several places; it is kept for the one it was asked for last.
    if (!found || !alike(found.more, more)) {
      found = { value: compute(object, ...more), more };
      known.set(object, found);
    }
    return found.value;
  };
}

function alike(before: readonly unknown[], now: readonly unknown[]): boolean {
  if (before.length !== now.length) return false;
  for (let i = 0; i < now.length; i++) if (before[i] !== now[i]) return false;
  return true;
}
