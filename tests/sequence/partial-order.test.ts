import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { GraphOrder } from '../../server/src/sequence/partial-order.ts';

/** A partial order of up to seven nodes: each waits for some of lower number. */
const dag = fc
  .integer({ min: 1, max: 7 })
  .chain((count) =>
    fc.tuple(...Array.from({ length: count }, (_, node) => fc.subarray([...Array(node).keys()]))),
  );

/** The definition itself: every order in which the nodes can be worked through. */
function* orders(predecessors: readonly (readonly number[])[], done: number[] = []): Generator<number[]> {
  if (done.length === predecessors.length) yield done;
  for (const [node, before] of predecessors.entries()) {
    if (!done.includes(node) && before.every((one) => done.includes(one)))
      yield* orders(predecessors, [...done, node]);
  }
}

describe('the partial order, against every order it allows', () => {
  test('before: holds in all of them', () => {
    fc.assert(
      fc.property(dag, (predecessors) => {
        const order = new GraphOrder(predecessors);
        const all = [...orders(predecessors)];
        for (let a = 0; a < predecessors.length; a++) {
          for (let b = 0; b < predecessors.length; b++) {
            expect(order.before(a, b)).toBe(a !== b && all.every((one) => one.indexOf(a) < one.indexOf(b)));
          }
        }
      }),
      { numRuns: 150, seed: 3 },
    );
  });

  test('a hazard may fall between two events if it does in some order', () => {
    fc.assert(
      fc.property(dag, (predecessors) => {
        const order = new GraphOrder(predecessors);
        const all = [...orders(predecessors)];
        const nodes = [...predecessors.keys()];
        for (const from of nodes) {
          for (const to of [...nodes.filter((one) => order.before(from, one)), undefined]) {
            for (const hazard of nodes) {
              // Steps take time: one that may run beside an event may run on past it.
              const after = all.some((one) => one.indexOf(from) < one.indexOf(hazard));
              const ahead = to === undefined || all.some((one) => one.indexOf(hazard) < one.indexOf(to));
              expect(order.mayFallBetween(from, hazard, to)).toBe(after && ahead);
            }
          }
        }
      }),
      { numRuns: 60, seed: 4 },
    );
  });

  test('candidatesBetween contains everything that may fall between two events', () => {
    fc.assert(
      fc.property(dag, (predecessors) => {
        const order = new GraphOrder(predecessors);
        for (const from of predecessors.keys()) {
          for (const to of [...predecessors.keys(), undefined]) {
            const around = order.around(order.sorted, (node) => node, from, to);
            for (const node of order.sorted) {
              if (order.mayFallBetween(from, node, to)) expect(around).toContain(node);
            }
          }
        }
      }),
      { numRuns: 150, seed: 6 },
    );
  });

  test('firstAfter is the first of some nodes that comes after another, in short and long plans', () => {
    // Each node waits for some of the four before it, so that long plans have joints.
    const chain = fc
      .integer({ min: 1, max: 40 })
      .chain((count) =>
        fc.tuple(
          ...Array.from({ length: count }, (_, node) =>
            fc.subarray([...Array(node).keys()].slice(-4), { minLength: Math.min(1, node) }),
          ),
        ),
      );
    fc.assert(
      fc.property(fc.oneof(dag, chain), fc.infiniteStream(fc.boolean()), (predecessors, drawn) => {
        const order = new GraphOrder(predecessors);
        const some = order.sorted.filter(() => drawn.next().value);
        for (const from of predecessors.keys()) {
          expect(order.firstAfter(some, (node) => node, from)).toBe(
            some.find((node) => order.before(from, node)),
          );
        }
      }),
      { numRuns: 150, seed: 7 },
    );
  });

  test('the order shown is one of them', () => {
    fc.assert(
      fc.property(dag, (predecessors) => {
        const place = new Map(new GraphOrder(predecessors).sorted.map((node, rank) => [node, rank]));
        predecessors.forEach((before, node) =>
          before.forEach((one) => expect(place.get(one)!).toBeLessThan(place.get(node)!)),
        );
      }),
      { numRuns: 150, seed: 5 },
    );
  });

  test('a cycle is found, and is a cycle', () => {
    fc.assert(
      fc.property(dag, fc.nat(), fc.nat(), (predecessors, x, y) => {
        const [a, b] = [x % predecessors.length, y % predecessors.length];
        const closed = predecessors.map((before, node) => (node === a ? [...before, b] : before));
        const order = new GraphOrder(closed);
        const open = new GraphOrder(predecessors);
        if (a !== b && !open.before(a, b)) {
          expect(order.cycle).toBeUndefined();
          return;
        }
        const circle = order.cycle!;
        circle.forEach((node, i) => expect(closed[circle[(i + 1) % circle.length]!]).toContain(node));
      }),
      { numRuns: 200, seed: 6 },
    );
  });

  test('thousands of steps in a chain', () => {
    const order = new GraphOrder(Array.from({ length: 5000 }, (_, i) => (i === 0 ? [] : [i - 1])));
    expect(order.before(0, 4999)).toBe(true);
    expect(order.before(4999, 0)).toBe(false);
  });
});
