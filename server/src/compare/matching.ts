import { addToGroup } from '../base/collections.ts';
import type { Operation } from '../plan/operations.ts';

/** What two versions of a plan tell an operation by. Plain data: a baseline keeps it. */
export interface Signature {
  /** `op20`, or `op10/lock` inside a procedure. */
  readonly id: string;
  readonly task: string;
  /** Task, connectors, halves and zones. */
  readonly key: string;
}

export function signatureOf({ id, taskId, step, connectors, halves, zones }: Operation): Signature {
  const task = taskId === '' ? `follow ${step.follows?.value ?? ''}` : taskId;
  const names = connectors.map(({ value }) => value).sort();
  return { id, task, key: [task, names.join(' '), halves.join(' '), [...zones].sort().join(' ')].join('; ') };
}

/** Places of operations that are one and the same in two versions: old and new, ascending by the old. */
export type Pairs = readonly (readonly [before: number, now: number])[];

/** More cells than this are not compared one by one; equal operations are then matched in their order. */
const maxCells = 4_000_000;

/**
 * Which operations of two versions are the same: first by id and task, then by a key that only one operation of each
 * version has, then by the longest common subsequence of keys, at last equal keys in their order. The rest was added or
 * removed. Matching the other way round gives the same pairs.
 */
export function matched(before: readonly Signature[], now: readonly Signature[]): Pairs {
  const pairOf = new Map<number, number>();
  const taken = new Set<number>();
  const pair = (a: number, b: number): void => {
    pairOf.set(a, b);
    taken.add(b);
  };
  const inOrder = (nameOf: (one: Signature) => string, onlySingle: boolean): void => {
    const theirs = places(now, nameOf, (at) => !taken.has(at));
    for (const [name, own] of places(before, nameOf, (at) => !pairOf.has(at))) {
      const others = theirs.get(name) ?? [];
      if (onlySingle && (own.length > 1 || others.length > 1)) continue;
      own.slice(0, others.length).forEach((at, i) => pair(at, others[i]!));
    }
  };
  inOrder(({ id, task }) => `${id}\n${task}`, false);
  inOrder(({ key }) => key, true);
  const left = [...before.keys()].filter((at) => !pairOf.has(at));
  const right = [...now.keys()].filter((at) => !taken.has(at));
  for (const [i, j] of commonSubsequence(
    left.map((at) => before[at]!.key),
    right.map((at) => now[at]!.key),
  )) {
    pair(left[i]!, right[j]!);
  }
  inOrder(({ key }) => key, false);
  return [...pairOf].sort(([a], [b]) => a - b);
}

function places(
  list: readonly Signature[],
  nameOf: (one: Signature) => string,
  free: (at: number) => boolean,
): Map<string, number[]> {
  const found = new Map<string, number[]>();
  list.forEach((one, at) => {
    if (free(at)) addToGroup(found, nameOf(one), at);
  });
  return found;
}

/**
 * A longest common subsequence of two lists. Of several the same one is taken whichever list comes first: ties are
 * settled by the words themselves.
 * @returns nothing where the lists are too long to compare
 */
export function commonSubsequence(a: readonly string[], b: readonly string[]): [number, number][] {
  if (a.length * b.length > maxCells) return [];
  const width = b.length + 1;
  const length = new Uint16Array((a.length + 1) * width);
  for (let i = a.length - 1; i >= 0; i--) {
    for (let j = b.length - 1; j >= 0; j--) {
      length[i * width + j] =
        a[i] === b[j]
          ? length[(i + 1) * width + j + 1]! + 1
          : Math.max(length[(i + 1) * width + j]!, length[i * width + j + 1]!);
    }
  }
  const common: [number, number][] = [];
  for (let i = 0, j = 0; i < a.length && j < b.length;) {
    const [without, other] = [length[(i + 1) * width + j]!, length[i * width + j + 1]!];
    if (a[i] === b[j]) common.push([i++, j++]);
    else if (without > other || (without === other && a[i]! > b[j]!)) i++;
    else j++;
  }
  return common;
}

/** Names steps alike on both sides, so that what is said about them can be compared. */
export interface Tokens {
  before(id: string): string;
  now(id: string): string;
}

/** The step of the plan in which an operation stands. */
const planStepOf = (id: string): string => id.split('/', 1)[0]!;

/** A matched operation, or a step of the plan of which operations are matched, has one name on both sides. */
export function tokensOf(before: readonly Signature[], now: readonly Signature[], pairs: Pairs): Tokens {
  const [mine, theirs] = [new Map<string, string>(), new Map<string, string>()];
  const put = (a: string, b: string, token: string): void => {
    if (mine.has(a) || theirs.has(b)) return;
    mine.set(a, token);
    theirs.set(b, token);
  };
  for (const [a, b] of pairs) put(before[a]!.id, now[b]!.id, `= ${before[a]!.id} ${now[b]!.id}`);
  for (const [a, b] of pairs) {
    const [one, other] = [planStepOf(before[a]!.id), planStepOf(now[b]!.id)];
    put(one, other, `= ${one} ${other}`);
  }
  const known = (list: readonly Signature[]): Set<string> =>
    new Set(list.flatMap(({ id }) => [id, planStepOf(id)]));
  const [old, fresh] = [known(before), known(now)];
  return {
    before: (id) => mine.get(id) ?? (old.has(id) ? `- ${id}` : `? ${id}`),
    now: (id) => theirs.get(id) ?? (fresh.has(id) ? `+ ${id}` : `? ${id}`),
  };
}
