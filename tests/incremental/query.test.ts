import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  entryQuery,
  inputQuery,
  keyedQuery,
  memoByKey,
  QueryCache,
  QueryCycleError,
  nextStateNumber,
  query,
  sameMembers,
} from '../../server/src/incremental/query.ts';
import type { QueryState } from '../../server/src/incremental/query.ts';

interface Numbers extends QueryState {
  readonly list: readonly number[];
  readonly factor: number;
}

/** A small tree of questions that count how often they are worked out. */
function questions() {
  const worked = { even: 0, sum: 0, scaled: 0, nth: 0 };
  const list = inputQuery(({ list }: Numbers) => list);
  const factor = inputQuery(({ factor }: Numbers) => factor);
  const even = query((state: Numbers) => {
    worked.even++;
    return list(state).filter((one) => one % 2 === 0);
  }, sameMembers);
  const sum = query((state: Numbers) => {
    worked.sum++;
    return even(state).reduce((a, b) => a + b, 0);
  });
  const scaled = query((state: Numbers) => {
    worked.scaled++;
    // What is asked depends on an answer.
    return sum(state) > 10 ? sum(state) * factor(state) : sum(state);
  });
  const nth = keyedQuery((state: Numbers, place: number) => {
    worked.nth++;
    return even(state)[place];
  });
  return { worked, scaled, nth };
}

describe('queries on the states of one file', () => {
  const memory = new QueryCache();
  const { worked, scaled, nth } = questions();
  const ask = (list: readonly number[], factor: number) => {
    const state: Numbers = { list, factor, memory, state: nextStateNumber() };
    return [scaled(state), nth(state, 0), nth(state, 1)];
  };

  test('recompute only when a dependency has a different result', () => {
    expect(ask([1, 2, 4], 3)).toEqual([6, 2, 4]);
    expect(worked).toEqual({ even: 1, sum: 1, scaled: 1, nth: 2 });
    // The factor was never asked for.
    expect(ask([1, 2, 4], 5)).toEqual([6, 2, 4]);
    // The same even numbers: what rests on them is not asked again.
    expect(ask([3, 2, 4], 5)).toEqual([6, 2, 4]);
    expect(worked).toEqual({ even: 3, sum: 1, scaled: 1, nth: 2 });
    expect(ask([2, 10], 5)).toEqual([60, 2, 10]);
    // Now it is asked for.
    expect(ask([2, 10], 6)).toEqual([72, 2, 10]);
    expect(worked.scaled).toBe(3);
  });

  test('who reads one entry of a map depends on that entry alone, also through a transparent query', () => {
    const kept = new QueryCache();
    let worked = 0;
    const list = inputQuery(({ list }: Numbers) => list);
    const byPlace = query((state: Numbers) => new Map(list(state).map((one, i) => [`place ${i}`, one])));
    const entry = entryQuery(byPlace);
    const doubled = keyedQuery((state: Numbers, key: string) => {
      worked++;
      return 2 * (entry(state, key) ?? NaN) + 0 * (entry(state, key) ?? NaN);
    });
    const through = keyedQuery((state: Numbers, key: string) => entry(state, key), undefined, true);
    const sum = query((state: Numbers) => {
      worked++;
      return (through(state, 'place 0') ?? NaN) + (through(state, 'place 1') ?? NaN);
    });
    const at = (list: readonly number[]): Numbers => ({
      list,
      factor: 1,
      memory: kept,
      state: nextStateNumber(),
    });
    const ask = (list: readonly number[]): unknown[] => {
      const state = at(list);
      return [doubled(state, 'place 0'), doubled(state, 'place 2'), sum(state), entry(state, 'place 3')];
    };
    expect(ask([1, 2, 3])).toEqual([2, 6, 3, undefined]);
    expect(worked).toBe(3);
    expect(ask([1, 2, 4])).toEqual([2, 8, 3, undefined]);
    expect(worked).toBe(4);
    expect(ask([1, 5, 4, 7])).toEqual([2, 8, 6, 7]);
    expect(worked).toBe(5);
    expect(ask([1, 5])).toEqual([2, NaN, 6, undefined]);
    expect(worked).toBe(6);
  });

  test('give the old result for an old state, even after a newer one was read', () => {
    const old: Numbers = { list: [20], factor: 2, memory, state: nextStateNumber() };
    expect(scaled(old)).toBe(40);
    expect(ask([8, 8], 1)[0]).toBe(16);
    expect(scaled(old)).toBe(40);
  });

  test('reading an old state again changes no result of the newer one', () => {
    const kept = new QueryCache();
    const list = inputQuery(({ list }: Numbers) => list);
    // The answer stays one object, which takes over what the later one holds.
    const total = query(
      (state: Numbers) => ({ value: list(state).reduce((a, b) => a + b, 0) }),
      (before, now) => Object.assign(before, now) === before,
    );
    const states = [[1], [2, 3]].map((list): Numbers => ({
      list,
      factor: 1,
      memory: kept,
      state: nextStateNumber(),
    }));
    const [old, newer] = states as [Numbers, Numbers];
    const told = total(old);
    expect(total(newer)).toBe(told);
    expect(told.value).toBe(5);
    expect(total(old).value).toBe(1);
    expect(told.value).toBe(5);
    expect(total(newer)).toBe(told);
  });

  test('law: for any states, the results are those of an empty cache', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.array(fc.integer({ min: 0, max: 9 }), { maxLength: 5 }), fc.nat(3)), {
          maxLength: 12,
        }),
        (states) => {
          const own = questions();
          const kept = new QueryCache();
          for (const [list, factor] of states) {
            const answers = (memory: QueryCache): unknown[] => {
              const state: Numbers = { list, factor, memory, state: nextStateNumber() };
              return [own.nth(state, 1), own.scaled(state), own.nth(state, 0)];
            };
            expect(answers(kept)).toEqual(answers(new QueryCache()));
          }
        },
      ),
      { numRuns: 300, seed: 11 },
    );
  });

  test('a query that depends on itself is reported, by its keys, and can be asked again', () => {
    let turns = true;
    const parity = keyedQuery((state: Numbers, place: number): string =>
      place === 0 ? 'even' : other(state, place - 1),
    );
    const other = keyedQuery((state: Numbers, place: number): string =>
      place === 0 ? 'odd' : parity(state, turns ? place + 1 : place - 1),
    );
    const state: Numbers = { list: [], factor: 1, memory: new QueryCache(), state: nextStateNumber() };
    expect(() => parity(state, 3)).toThrow(QueryCycleError);
    expect(() => parity(state, 3)).toThrow('a query depends on its own value: 3 → 2 → 3');
    turns = false;
    expect(parity(state, 3)).toBe('odd');
  });

  test('a circle that comes about while older answers are verified is reported as well', () => {
    const list = inputQuery(({ list }: Numbers) => list);
    const first = query((state: Numbers): number => second(state) + 1);
    const second = query((state: Numbers): number => (list(state).length > 0 ? first(state) : 0));
    const memory = new QueryCache();
    const at = (list: readonly number[]): Numbers => ({ list, factor: 1, memory, state: nextStateNumber() });
    expect(first(at([]))).toBe(1);
    expect(() => first(at([1]))).toThrow(QueryCycleError);
    expect(first(at([]))).toBe(1);
  });
});

describe('what is kept of past revisions', () => {
  const list = inputQuery(({ list }: Numbers) => list);

  /** A query for each member, asked by one for all of them; counted how often each is computed. */
  function perMember(transparent: boolean) {
    const computed: number[] = [];
    const square = keyedQuery(
      (state: Numbers, one: number) => {
        computed.push(one);
        return list(state).includes(one) ? one * one : 0;
      },
      undefined,
      transparent,
    );
    const total = query((state: Numbers) => list(state).reduce((sum, one) => sum + square(state, one), 0));
    return { computed, square, total };
  }

  test.each([false, true])('memos of keys that are gone do not add up (transparent: %s)', (transparent) => {
    const { total } = perMember(transparent);
    const memory = new QueryCache();
    for (let one = 1; one <= 1000; one++) {
      const state: Numbers = { list: [one, one + 1], factor: 1, memory, state: nextStateNumber() };
      expect(total(state)).toBe(one * one + (one + 1) * (one + 1));
    }
    // Two of them are asked for; each revision before the next round of eviction may have left one more.
    expect(memory.size).toBeLessThan(16);
  });

  test.each([false, true])('what is still asked for is never evicted (transparent: %s)', (transparent) => {
    const { computed, total } = perMember(transparent);
    const other = query((state: Numbers) => list(state).length);
    const factor = inputQuery(({ factor }: Numbers) => factor);
    const scaled = query((state: Numbers) => total(state) * factor(state));
    const memory = new QueryCache();
    const members = [1, 2, 3];
    for (let one = 1; one <= 1000; one++) {
      const state: Numbers = { list: members, factor: one, memory, state: nextStateNumber() };
      // For long stretches nobody asks for it, as while somebody types faster than findings are shown.
      if (one % 300 === 1) expect(scaled(state)).toBe(14 * one);
      else expect(other(state)).toBe(3);
    }
    expect(computed).toEqual([1, 2, 3]);
  });

  test('what is asked for from outside alone, by key, stays for a while and then goes', () => {
    const { computed, square } = perMember(false);
    const memory = new QueryCache();
    const members = [5];
    const next = (): Numbers => ({ list: members, factor: 1, memory, state: nextStateNumber() });
    square(next(), 5);
    for (let i = 0; i < 50; i++) list(next());
    square(next(), 5);
    expect(computed).toEqual([5]);
    for (let i = 0; i < 200; i++) list(next());
    square(next(), 5);
    expect(computed).toEqual([5, 5]);
  });

  test('a table of what follows from a key forgets when it has come to its bound', () => {
    let made = 0;
    const twice = memoByKey((key: number) => (made++, 2 * key), 3);
    expect([1, 2, 3, 1, 2, 3].map(twice)).toEqual([2, 4, 6, 2, 4, 6]);
    expect(made).toBe(3);
    expect([4, 4, 1].map(twice)).toEqual([8, 8, 2]);
    expect(made).toBe(5);
  });

  test('law: with however many revisions in between, the answers are those of a cache that knows nothing', () => {
    const one = fc.tuple(
      fc.array(fc.integer({ min: 0, max: 20 }), { maxLength: 4 }),
      fc.constantFrom(0, 1, 9, 70),
      fc.boolean(),
    );
    fc.assert(
      fc.property(fc.array(one, { maxLength: 12 }), fc.boolean(), (revisions, transparent) => {
        const { square, total } = perMember(transparent);
        const memory = new QueryCache();
        for (const [members, idle, whole] of revisions) {
          for (let i = 0; i < idle; i++) list({ list: members, factor: 1, memory, state: nextStateNumber() });
          const answers = (cache: QueryCache): unknown => {
            const state: Numbers = { list: members, factor: 1, memory: cache, state: nextStateNumber() };
            return [whole ? total(state) : undefined, square(state, 3)];
          };
          expect(answers(memory)).toEqual(answers(new QueryCache()));
        }
      }),
      { numRuns: 300, seed: 12 },
    );
  });
});
