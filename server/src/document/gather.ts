/** Puts `value` to the others of its group. */
export function gather<K, V>(groups: Map<K, V[]>, key: K, value: V): void {
  const group = groups.get(key);
  if (group) group.push(value);
  else groups.set(key, [value]);
}

/** Names pairs of objects, the same pair always by the same name. It is good for one computation. */
export function pairNames(): (a: object, b: object | undefined) => string {
  const numbers = new Map<object | undefined, number>();
  const numberOf = (one: object | undefined): number => {
    const known = numbers.get(one) ?? numbers.size;
    numbers.set(one, known);
    return known;
  };
  return (a, b) => `${numberOf(a)} ${numberOf(b)}`;
}
