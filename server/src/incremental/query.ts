import { slot } from './memo.ts';

/**
 * Demand-driven queries with automatic dependency tracking, in the terms of salsa.
 *
 * - A *revision* is one state of a file, the files it uses and the settings. `inputQuery` reads it.
 * - A *query* computes a value from other queries of the same revision, and from nothing else that can change.
 * - Its value is kept as a *memo* together with its *dependencies*: each query it read, and the value it got. Dependencies
 *   are recorded, never declared, so none can be forgotten.
 * - In a later revision a memo is *verified*: it is valid if every dependency still has the same value (by identity).
 * - A recomputed value that equals the old one is *backdated* (`same`): the old object is kept, so dependents stay valid.
 * - Memos that no later revision can use are *evicted*; see `QueryCache`.
 * - A query that depends on its own value throws a `QueryCycleError`.
 */

/** One revision. The revisions of one file share a cache. */
export interface QueryState {
  readonly memory: QueryCache;
  /** The number of the revision; greater than those of all revisions before it. */
  readonly state: number;
}

export type Query<S extends QueryState, T> = (state: S) => T;
/** A query with a key: one value for each item of a kind. */
export type KeyedQuery<S extends QueryState, K, T> = (state: S, key: K) => T;

/** The cached value of a query, for one key if it has one. */
interface Memo {
  readonly ask: KeyedQuery<never, unknown, unknown>;
  readonly key: unknown;
  value: unknown;
  dependencies: readonly Dependency[];
  /** Memos of transparent queries it read, whose dependencies are recorded among its own. */
  parts: readonly Memo[];
  /** The revision in which it was last computed or verified; 0 before the first. */
  revision: number;
  /** The computation that last recorded this memo as a dependency. */
  recordedBy: number;
  /** Of a value that is a map, the same for each entry that was read by itself. */
  entriesRecordedBy: Map<unknown, number> | undefined;
  /** Whether it is being computed or verified. */
  active: boolean;
  /** The last eviction round in which it was reachable. */
  reachedIn: number;
  /** `QueryCache.revisions` when it was last read from outside any query. */
  wantedIn: number;
}

/** A query that was read, and the value it had. */
interface Dependency {
  readonly memo: Memo;
  /** The entry that was read, of a value that is a map; undefined where the whole value was. */
  readonly entry: unknown;
  readonly value: unknown;
}

/** Revisions between two eviction rounds. A round visits every memo and dependency once, as verifying all of them does. */
const evictionInterval = 8;
/** How many revisions a keyed memo survives that only code outside the queries reads, such as a hover. */
const keyedLifetime = 64;

/**
 * The memos of all revisions of one file. Memos without a key are kept: their number is that of the queries. A keyed memo is
 * kept while another kept memo depends on it, or if it was read from outside in the last `keyedLifetime` revisions. Names
 * that are typed one after the other therefore do not accumulate, and a memo that is read rarely keeps its dependencies.
 * Eviction never changes a value, only the cost of the next read.
 */
export class QueryCache {
  /** The latest revision read. */
  newest = 0;
  /** Number of revisions read so far. */
  revisions = 0;
  #round = 0;
  readonly #single: (Memo | undefined)[] = [];
  readonly #keyed: (Map<unknown, Memo> | undefined)[] = [];

  get(query: number, key: unknown): Memo | undefined {
    return key === undefined ? this.#single[query] : this.#keyed[query]?.get(key);
  }

  add(query: number, memo: Memo): void {
    if (memo.key === undefined) this.#single[query] = memo;
    else (this.#keyed[query] ??= new Map()).set(memo.key, memo);
  }

  remove(query: number, key: unknown): void {
    if (key === undefined) this.#single[query] = undefined;
    else this.#keyed[query]?.delete(key);
  }

  /** Moves on to a later revision; evicts every `evictionInterval` revisions. */
  advance(revision: number): void {
    this.newest = revision;
    if (++this.revisions % evictionInterval === 0) this.#evict();
  }

  /** Number of memos held. */
  get size(): number {
    const keyed = this.#keyed.reduce((sum, memos) => sum + (memos?.size ?? 0), 0);
    return keyed + this.#single.filter((memo) => memo !== undefined).length;
  }

  #evict(): void {
    this.#round++;
    const reached: Memo[] = [];
    const reach = (memo: Memo): void => {
      if (memo.reachedIn === this.#round) return;
      memo.reachedIn = this.#round;
      reached.push(memo);
    };
    for (const memo of this.#single) if (memo) reach(memo);
    for (const memos of this.#keyed) {
      if (!memos) continue;
      for (const memo of memos.values()) if (this.revisions - memo.wantedIn <= keyedLifetime) reach(memo);
    }
    for (let memo = reached.pop(); memo; memo = reached.pop()) {
      for (const dependency of memo.dependencies) reach(dependency.memo);
      for (const part of memo.parts) reach(part);
    }
    for (const memos of this.#keyed) {
      if (!memos) continue;
      for (const memo of memos.values()) {
        if (memo.reachedIn !== this.#round && !memo.active) memos.delete(memo.key);
      }
    }
  }
}

const nameOfKey = (key: unknown): string =>
  typeof key === 'string' || typeof key === 'number'
    ? String(key)
    : key === undefined
      ? '(no key)'
      : '(object)';

/** Thrown when a query depends on its own value. A fault of the program, never of a text. */
export class QueryCycleError extends Error {
  override readonly name = 'QueryCycleError';

  /** @param keys keys of the active queries, outermost first; the last is the one read again */
  constructor(readonly keys: readonly unknown[]) {
    super(`a query depends on its own value: ${keys.map(nameOfKey).join(' → ')}`);
  }
}

/**
 * The cache of a revision. A superseded revision gets one of its own, so that reading it cannot change what a later
 * revision depends on.
 */
function cacheOf(state: QueryState): QueryCache {
  const { memory } = state;
  if (state.state === memory.newest) return memory;
  if (state.state > memory.newest) {
    memory.advance(state.state);
    return memory;
  }
  let own = past.get(state);
  if (!own) past.set(state, (own = new QueryCache()));
  return own;
}
const past = slot<QueryState, QueryCache>();

/** A query being computed, and what it has read so far. */
interface Computation {
  readonly number: number;
  readonly key: unknown;
  readonly dependencies: Dependency[];
  readonly parts: Memo[];
  readonly outer: Computation | undefined;
}

/** The computation that records dependencies; undefined while a memo is being verified. */
let active: Computation | undefined;
/** The innermost computation, also while a memo is being verified. */
let innermost: Computation | undefined;
let computations = 0;
let queries = 0;
let revisions = 0;
export const nextStateNumber = (): number => ++revisions;

const noParts: readonly Memo[] = [];
const noDependencies: readonly Dependency[] = [];

/**
 * Defines a query derived from other queries.
 * @param same whether the new value equals the cached one, which is then kept so that dependents stay valid (backdating).
 * It may instead copy unchanged parts of the old value into the new one.
 */
export const query = <S extends QueryState, T>(
  compute: (state: S) => T,
  same?: (before: T, now: T) => boolean,
): Query<S, T> => keyedQuery<S, undefined, T>(compute, same) as Query<S, T>;

/**
 * Defines a query with a key, which must not be `undefined`.
 * @param transparent makes callers record its dependencies instead of the query itself. Use it for a query that is called
 * once per item: the dependencies mostly coincide, so a caller with many items is verified at once.
 */
export const keyedQuery = <S extends QueryState, K, T>(
  compute: (state: S, key: K) => T,
  same?: (before: T, now: T) => boolean,
  transparent = false,
): KeyedQuery<S, K, T> => defineQuery(compute, same, holds, transparent);

/** Defines an input: a query that reads the revision itself. All other queries derive from inputs. */
export const inputQuery = <S extends QueryState, T>(
  read: (state: S) => T,
  same?: (before: T, now: T) => boolean,
): Query<S, T> => defineQuery<S, undefined, T>(read, same, () => false, false) as Query<S, T>;

/**
 * Reads one entry of a query that gives a map: whoever reads it depends on that entry alone. Cheaper than a query with a key
 * where an entry takes no work.
 * @param whole a query without a key; no key of its map is `undefined`
 */
export function entryQuery<S extends QueryState, K, V>(
  whole: Query<S, ReadonlyMap<K, V>>,
): KeyedQuery<S, K, V | undefined> {
  const current = currentOf.get(whole)!;
  return (state, key) => {
    const memo = current(state);
    const value = (memo.value as ReadonlyMap<K, V>).get(key);
    if (active) recordEntry(memo, key, value, active);
    return value;
  };
}

/** Brings the memo of a query without a key up to date. */
const currentOf = new WeakMap<Query<never, unknown>, (state: QueryState) => Memo>();

/** Whether all dependencies still have the value that was recorded. */
function holds(dependencies: readonly Dependency[], state: QueryState): boolean {
  for (const { memo, entry, value } of dependencies) {
    const now = memo.revision === state.state ? memo.value : memo.ask(state as never, memo.key);
    if ((entry === undefined ? now : (now as ReadonlyMap<unknown, unknown>).get(entry)) !== value)
      return false;
  }
  return true;
}

function defineQuery<S extends QueryState, K, T>(
  compute: (state: S, key: K) => T,
  same: ((before: T, now: T) => boolean) | undefined,
  stillHolds: (dependencies: readonly Dependency[], state: S) => boolean,
  transparent: boolean,
): KeyedQuery<S, K, T> {
  const number = queries++;
  const current = (state: S, key: K, cache: QueryCache): Memo => {
    let memo = cache.get(number, key);
    if (memo?.revision !== state.state) {
      if (!memo) {
        memo = {
          ask: ask as KeyedQuery<never, unknown, unknown>,
          key,
          value: undefined,
          dependencies: noDependencies,
          parts: noParts,
          revision: 0,
          recordedBy: 0,
          entriesRecordedBy: undefined,
          active: false,
          reachedIn: 0,
          wantedIn: -keyedLifetime - 1,
        };
        cache.add(number, memo);
      }
      update(memo, state, key);
    }
    return memo;
  };
  const ask: KeyedQuery<S, K, T> = (state, key) => {
    const cache = cacheOf(state);
    const memo = current(state, key, cache);
    if (!active) memo.wantedIn = cache.revisions;
    else if (!transparent) record(memo, active);
    else {
      for (const { memo: read, entry, value } of memo.dependencies) {
        if (entry === undefined) record(read, active);
        else recordEntry(read, entry, value, active);
      }
      active.parts.push(memo);
    }
    return memo.value as T;
  };
  currentOf.set(ask as unknown as Query<never, unknown>, (state) =>
    current(state as S, undefined as K, cacheOf(state)),
  );

  /** Brings a memo up to date: verifies it, or else computes it. */
  const update = (memo: Memo, state: S, key: K): void => {
    if (memo.active) throw new QueryCycleError([...keysOf(innermost), key]);
    const [outer, enclosing] = [active, innermost];
    const isNew = memo.revision === 0;
    memo.active = true;
    active = undefined;
    try {
      if (isNew || !stillHolds(memo.dependencies, state)) {
        const computation: Computation = {
          number: ++computations,
          key,
          dependencies: [],
          parts: [],
          outer: enclosing,
        };
        active = innermost = computation;
        const value = compute(state, key);
        if (isNew || !same?.(memo.value as T, value)) {
          memo.value = value;
          memo.entriesRecordedBy = undefined;
        }
        memo.dependencies = computation.dependencies;
        memo.parts = computation.parts.length > 0 ? computation.parts : noParts;
      }
      memo.revision = state.state;
    } finally {
      active = outer;
      innermost = enclosing;
      memo.active = false;
      if (memo.revision === 0) cacheOf(state).remove(number, key);
    }
  };
  return ask;
}

/** Records a memo as a dependency, once per computation. */
function record(memo: Memo, { number, dependencies }: Computation): void {
  if (memo.recordedBy === number) return;
  memo.recordedBy = number;
  dependencies.push({ memo, entry: undefined, value: memo.value });
}

function recordEntry(
  memo: Memo,
  entry: unknown,
  value: unknown,
  { number, dependencies }: Computation,
): void {
  const recordedBy = (memo.entriesRecordedBy ??= new Map());
  if (recordedBy.get(entry) === number) return;
  recordedBy.set(entry, number);
  dependencies.push({ memo, entry, value });
}

/** Keys of a computation and those around it, outermost first. */
function keysOf(computation: Computation | undefined): unknown[] {
  const keys: unknown[] = [];
  for (let one = computation; one; one = one.outer) keys.unshift(one.key);
  return keys;
}

/**
 * Caches the result of a function by its key, for as long as the function lives. For queries use `keyedQuery`.
 * @param max upper bound of the number of results, where keys come from a text; when it is reached, all are dropped
 */
export function memoByKey<K, Q>(make: (key: K) => Q, max = Infinity): (key: K) => Q {
  const known = new Map<K, Q>();
  return (key) => {
    let found = known.get(key);
    if (found === undefined) {
      if (known.size >= max) known.clear();
      known.set(key, (found = make(key)));
    }
    return found;
  };
}

/** Lists with the same members in the same order. */
export function sameMembers<T>(before: readonly T[], now: readonly T[]): boolean {
  if (before.length !== now.length) return false;
  for (let i = 0; i < now.length; i++) if (!Object.is(before[i], now[i])) return false;
  return true;
}

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
