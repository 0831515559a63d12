import { slot } from './memo.ts';

/**
 * Demand-driven queries with automatic dependency tracking. A query computes a value from one state of a file
 * and the files it uses. While it runs, every query it reads is recorded with its result; in the next state,
 * the cached value is kept if all recorded results are unchanged. Dependencies are recorded, never declared,
 * so none can be forgotten. A query may read only queries of its state, and what follows from their results.
 */

/** Cached query results for all states of one file, by query number and, for keyed queries, by key. */
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
  /** The state in which the value was last verified. */
  state: number;
  /** The computation that last recorded this entry as a dependency. */
  recordedBy: number;
}
/**
 * The dependencies of a cached value: each query read, its key and its result. It holds only results that must
 * still be current, so a superseded state is not kept alive by values that once depended on it.
 */
type Asked = {
  readonly ask: KeyedQuery<never, never, unknown>;
  readonly number: number;
  readonly key: unknown;
  readonly value: unknown;
}[];

/**
 * The cache of a state. A superseded state gets one of its own, so that reading it cannot change what a later
 * state depends on.
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
 * Defines a query derived from other queries.
 * @param same whether the new value equals the cached one, which is then kept so that dependents stay valid.
 * It may instead copy unchanged parts of the old value into the new one.
 */
export const query = <S extends QueryState, T>(
  compute: (state: S) => T,
  same?: (before: T, now: T) => boolean,
): Query<S, T> => keyedQuery<S, undefined, T>(compute, same) as Query<S, T>;

/**
 * @param through makes the query transparent: its callers record its dependencies instead of the query itself.
 * Use it for a query called once per item: the dependencies mostly coincide, so a caller with many items is
 * verified at once.
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

/** Defines an input: a query that reads the state itself. All other queries derive from inputs. */
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

/** Marks a dependency as recorded by a computation; returns whether it was new. */
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

/** Compares maps of lists, first replacing each new list by the old one if their members are the same. */
export function keepGroups<K, V>(before: ReadonlyMap<K, readonly V[]>, now: Map<K, readonly V[]>): boolean {
  for (const [key, list] of now) {
    const known = before.get(key);
    if (known && sameMembers(known, list)) now.set(key, known);
  }
  return sameEntries(before, now);
}
