import { slot } from './memo.ts';

/**
 * The incremental mechanism above the text. A query is a question about one state of a file and all it uses. While it
 * is computed, it is noted which other queries were asked and what they answered; for the next state its answer is
 * kept when those still answer the same. What was asked is noted, never declared, so nothing can be forgotten; a
 * query may use nothing but its state's queries, and what follows from their answers alone.
 */

/** What was answered before, for the states of one file: by the number of the question, and its key where it has one. */
export class QueryCache {
  /** The latest state it was asked for. */
  newest = 0;
  readonly #single: (CacheEntry | undefined)[] = [];
  readonly #keyed: (Map<unknown, CacheEntry> | undefined)[] = [];

  get(number: number, key: unknown): CacheEntry | undefined {
    return key === undefined ? this.#single[number] : this.#keyed[number]?.get(key);
  }

  set(number: number, key: unknown, kept: CacheEntry): void {
    if (key === undefined) this.#single[number] = kept;
    else (this.#keyed[number] ??= new Map()).set(key, kept);
  }
}

/** One state. States of the same file share a memory; each has a number of its own. */
export interface QueryState {
  readonly memory: QueryCache;
  readonly state: number;
}

export type Query<S extends QueryState, T> = (state: S) => T;
/** The same question about many things of one kind, each told by its key. */
export type KeyedQuery<S extends QueryState, K, T> = (state: S, key: K) => T;

interface CacheEntry {
  readonly value: unknown;
  readonly asked: Asked;
  /** The state for which it was last found to hold. */
  state: number;
  /** The number of the computation that has noted it last. */
  recordedBy: number;
}
/**
 * What a query has asked, and what was answered. It holds no answer but those that must still be the answers: a state
 * that is gone must not be kept alive by what once rested on it.
 */
type Asked = {
  readonly ask: KeyedQuery<never, never, unknown>;
  readonly number: number;
  readonly key: unknown;
  readonly value: unknown;
}[];

/**
 * A state that a later one has followed has a memory of its own: who still asks it must not change what the later one
 * has concluded from.
 */
function memoryOf(state: QueryState): QueryCache {
  const { memory } = state;
  if (state.state >= memory.newest) {
    memory.newest = state.state;
    return memory;
  }
  let own = past.get(state);
  if (!own) past.set(state, (own = new QueryCache()));
  return own;
}
const past = slot<QueryState, QueryCache>();

/** What the query that is being computed has asked so far. */
let activeComputation: { readonly computation: number; readonly asked: Asked } | undefined;
let computations = 0;
let made = 0;
let states = 0;
export const nextStateNumber = (): number => ++states;

/**
 * A question whose answer follows from the answers to other queries.
 * @param same when the new answer may count as the old one, so that what rests on it need not be asked again; where
 * only parts of it may, it puts those of the old one into the new
 */
export const query = <S extends QueryState, T>(
  compute: (state: S) => T,
  same?: (before: T, now: T) => boolean,
): Query<S, T> => keyedQuery<S, undefined, T>(compute, same) as Query<S, T>;

/**
 * @param through for a question about each of many things: who asks it rests on what it has asked, not on it. As these
 * are mostly the same, that many answers still hold is then found out at once.
 */
export const keyedQuery = <S extends QueryState, K, T>(
  compute: (state: S, key: K) => T,
  same?: (before: T, now: T) => boolean,
  through = false,
): KeyedQuery<S, K, T> =>
  defineQuery(
    compute,
    same,
    (asked, state) => asked.every(({ ask, key, value }) => ask(state as never, key as never) === value),
    through,
  );

/** A question that the state itself answers: what everything else rests on. */
export const inputQuery = <S extends QueryState, T>(
  read: (state: S) => T,
  same?: (before: T, now: T) => boolean,
): Query<S, T> => defineQuery<S, undefined, T>(read, same, () => false) as Query<S, T>;

function defineQuery<S extends QueryState, K, T>(
  compute: (state: S, key: K) => T,
  same: ((before: T, now: T) => boolean) | undefined,
  stillHolds: (asked: Asked, state: S) => boolean,
  through = false,
): KeyedQuery<S, K, T> {
  const number = made++;
  const ask: KeyedQuery<S, K, T> = (state, key) => {
    const memory = memoryOf(state);
    let known = memory.get(number, key);
    if (known?.state !== state.state) {
      const outer = activeComputation;
      activeComputation = undefined;
      try {
        if (known && stillHolds(known.asked, state)) known.state = state.state;
        else {
          const asked: Asked = [];
          activeComputation = { computation: ++computations, asked };
          let value = compute(state, key);
          if (known && same?.(known.value as T, value)) value = known.value as T;
          known = { value, asked, state: state.state, recordedBy: 0 };
          memory.set(number, key, known);
        }
      } finally {
        activeComputation = outer;
      }
    }
    if (activeComputation) {
      if (through) {
        for (const one of known.asked) {
          if (recordDependency(memory.get(one.number, one.key)!, activeComputation))
            activeComputation.asked.push(one);
        }
      } else if (recordDependency(known, activeComputation))
        activeComputation.asked.push({ ask, number, key, value: known.value });
    }
    return known.value as T;
  };
  return ask;
}

/** Whether a computation has not asked this before; from now on it has. */
function recordDependency(
  known: CacheEntry,
  { computation }: NonNullable<typeof activeComputation>,
): boolean {
  if (known.recordedBy === computation) return false;
  known.recordedBy = computation;
  return true;
}

/** One query for each key, made when it is first asked. */
export function memoByKey<K, Q>(make: (key: K) => Q): (key: K) => Q {
  const known = new Map<K, Q>();
  return (key) => {
    let found = known.get(key);
    if (found === undefined) known.set(key, (found = make(key)));
    return found;
  };
}

/** Lists with the same members in the same order. */
export const sameMembers = <T>(before: readonly T[], now: readonly T[]): boolean =>
  before.length === now.length && before.every((one, i) => Object.is(one, now[i]));

/** Maps with the same keys and members in the same order. */
export function sameEntries<K, V>(before: ReadonlyMap<K, V>, now: ReadonlyMap<K, V>): boolean {
  if (before.size !== now.size) return false;
  const keys = [...now.keys()];
  let at = 0;
  for (const key of before.keys()) {
    if (!Object.is(key, keys[at++]) || !Object.is(before.get(key), now.get(key))) return false;
  }
  return true;
}

/** Maps of lists. Lists with the same members stay the same lists, whatever happened to the others. */
export function keepGroups<K, V>(before: ReadonlyMap<K, readonly V[]>, now: Map<K, readonly V[]>): boolean {
  for (const [key, list] of now) {
    const known = before.get(key);
    if (known && sameMembers(known, list)) now.set(key, known);
  }
  return sameEntries(before, now);
}
