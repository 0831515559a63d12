import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Operation } from '../../server/src/plan/operations.ts';
import { GraphOrder } from '../../server/src/sequence/partial-order.ts';
import { OperationOrder } from '../../server/src/sequence/operation-order.ts';

const operations = Array.from({ length: 9 }, (_, i) => ({ id: `op${i}` }) as Operation);

/** Some of the operations, in their order or turned about, each waiting for some that stand before it. */
const drawn = fc
  .tuple(fc.subarray(operations, { minLength: 1 }), fc.boolean())
  .map(([some, turned]) => (turned ? some.toReversed() : some))
  .chain((some) =>
    fc.tuple(fc.constant(some), fc.tuple(...some.map((_, node) => fc.subarray([...Array(node).keys()])))),
  );
type Drawn = readonly [readonly Operation[], readonly (readonly number[])[]];

/** As most plans are: one after the other. */
const chain = (some: readonly Operation[]): Drawn => [
  some,
  some.map((_, node) => (node > 0 ? [node - 1] : [])),
];

const read = ([some, predecessors]: Drawn): OperationOrder =>
  new OperationOrder(some, [...some.keys()], new GraphOrder(predecessors));

/** All that can be asked about some operations. */
const answers = (order: OperationOrder, some: readonly Operation[]): unknown[] =>
  some.flatMap((a) =>
    some.flatMap((b) => [
      order.before(a, b),
      order.unordered(a, b),
      Math.sign(order.compare(a, b)),
      Math.sign(order.compareInText(a, b)),
      ...some.map((c) => order.mayFallBetween(a, c, b)),
    ]),
  );

test('law: an order adopts a later one if and only if their shared operations are ordered alike', () => {
  let became = 0;
  fc.assert(
    fc.property(drawn, drawn, (before, now) => {
      const shared = before[0].filter((operation) => now[0].includes(operation));
      const order = read(before);
      const same = JSON.stringify(answers(order, shared)) === JSON.stringify(answers(read(now), shared));
      expect(order.tryAdopt(read(now))).toBe(same);
      if (same && shared.length > 2) became++;
      const [told] = same ? [now] : [before];
      expect(answers(order, told[0])).toEqual(answers(read(told), told[0]));
    }),
    { numRuns: 4_000, seed: 11 },
  );
  expect(became).toBeGreaterThan(20);
});

test('law: after any sequence of adoptions, an order never contradicts an earlier answer', () => {
  let became = 0;
  fc.assert(
    fc.property(fc.array(drawn, { minLength: 3, maxLength: 6 }), ([first, ...later]) => {
      const order = read(first!);
      const told = new Map<string, string>();
      const tell = (some: readonly Operation[]): void => {
        for (const a of some) {
          for (const b of some) {
            const said = JSON.stringify([order.before(a, b), Math.sign(order.compare(a, b))]);
            const pair = `${a.id} ${b.id}`;
            expect(told.get(pair) ?? said).toBe(said);
            told.set(pair, said);
          }
        }
      };
      tell(first![0]);
      for (const next of later) {
        if (!order.tryAdopt(read(next))) continue;
        became++;
        tell(next[0]);
      }
    }),
    { numRuns: 4_000, seed: 12 },
  );
  expect(became).toBeGreaterThan(500);
});

test('inserting, removing or replacing a step leaves the others as they are', () => {
  const [a, b, c, d, e] = operations as [Operation, Operation, Operation, Operation, Operation];
  const order = read(chain([a, b, c]));
  for (const later of [
    [a, d, b, c],
    [a, d, c],
    [a, d, c, e],
    [a, c],
  ]) {
    expect(order.tryAdopt(read(chain(later)))).toBe(true);
    expect(later.toSorted((x, y) => order.compare(x, y))).toEqual(later);
  }
  expect(order.tryAdopt(read(chain([c, a])))).toBe(false);
  // What has left may have been told otherwise meanwhile.
  expect(order.tryAdopt(read(chain([a, b, c])))).toBe(false);
  expect(order.before(a, c)).toBe(true);
});

test('it knows nothing of an operation that is not in its plan', () => {
  const [a, b, c] = operations as [Operation, Operation, Operation];
  const order = read(chain([a, b]));
  expect(() => order.before(a, c)).toThrow(RangeError);
  expect(() => order.before(c, a)).toThrow(RangeError);
});

test('an order with a cycle adopts no other, and no other adopts it', () => {
  const [a, b] = operations as [Operation, Operation];
  const round = new OperationOrder([a, b], [0, 1], new GraphOrder([[1], [0]]));
  expect(new Set(round.circle)).toEqual(new Set([a, b]));
  expect(round.tryAdopt(read(chain([a, b])))).toBe(false);
  expect(read(chain([a, b])).tryAdopt(round)).toBe(false);
});
