import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  inputQuery,
  keyedQuery,
  QueryCache,
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
});
