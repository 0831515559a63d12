import { ReturnOverride, slot } from './memo.ts';

/** About how many members a run has. */
const usual = 64;
let met = 0;

/** Numbers objects in the order in which they are first seen. */
class Numbered extends ReturnOverride {
  readonly #number = met++;

  static of(object: object): number {
    return #number in object ? object.#number : (new Numbered(object) as Numbered).#number;
  }
}

/**
 * Splits long lists into chunks (content-defined chunking). A boundary depends only on the member after it,
 * so an edit changes only the chunks it touches; the others are returned as the same arrays, and values
 * memoised on them (`memoByIdentity`) stay valid.
 */
export function chunker<T extends object>(): (list: readonly T[]) => readonly (readonly T[])[] {
  const known = slot<T, readonly T[]>();
  return (list) => {
    const runs: (readonly T[])[] = [];
    for (let from = 0; from < list.length;) {
      const before = known.get(list[from]!);
      if (before && stands(before, list, from)) {
        runs.push(before);
        from += before.length;
        continue;
      }
      let to = from + 1;
      while (to < list.length && !begins(list[to]!)) to++;
      const run = list.slice(from, to);
      known.set(list[from]!, run);
      runs.push(run);
      from = to;
    }
    return runs;
  };
}

const begins = (member: object): boolean => Numbered.of(member) % usual === 0;

/** Whether an earlier chunk is still the chunk starting at `from`. */
function stands<T extends object>(run: readonly T[], list: readonly T[], from: number): boolean {
  const to = from + run.length;
  if (to > list.length) return false;
  for (let i = 0; i < run.length; i++) if (run[i] !== list[from + i]) return false;
  return to === list.length || begins(list[to]!);
}
