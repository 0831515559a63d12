import fc from 'fast-check';
import Fraction from 'fraction.js';
import { describe, expect, it } from 'vitest';
import { GraphOrder } from '../../server/src/sequence/partial-order.ts';
import { scheduleOf, criticalPathMethod } from '../../server/src/sequence/critical-path.ts';
import type { NodeTiming } from '../../server/src/sequence/critical-path.ts';
import { workspaceOf } from '../support/files.ts';
import { wholePlan } from '../support/frame.ts';

interface Row {
  readonly name: string;
  readonly time: number;
  readonly after: string;
}

function solve(rows: readonly Row[]) {
  const names = rows.map(({ name }) => name);
  const predecessors = rows.map(({ after }) => [...after].map((name) => names.indexOf(name)));
  const network = criticalPathMethod(
    predecessors,
    new GraphOrder(predecessors).sorted,
    rows.map(({ time }) => time),
  );
  const of = (name: string): NodeTiming => network.slots[names.indexOf(name)]!;
  return { ...network, of, path: network.criticalPath.map((node) => names[node]).join('') };
}

/** "A6; B2(A)": name, time, what it waits for. */
const networkOf = (text: string): Row[] =>
  text.split('; ').map((part) => {
    const [, name, time, after = ''] = /^([A-Z])(\d+)(?:\((.*)\))?$/.exec(part)!;
    return { name: name!, time: Number(time), after: after.replaceAll(',', '') };
  });

const times = ({ earliestStart, earliestFinish, latestStart, latestFinish }: NodeTiming): string =>
  [earliestStart, earliestFinish, latestStart, latestFinish].join('/');

describe('networks published in course texts on the critical path method', () => {
  it('16 hours, A-B-D-E-G critical', () => {
    const { finish, path, of } = solve(networkOf('A6; B2(A); C2(A); D3(B); F2(C); E4(D,F); G1(E)'));
    expect(finish).toBe(16);
    expect(path).toBe('ABDEG');
    expect(times(of('C'))).toBe('6/8/7/9');
    expect(times(of('F'))).toBe('8/10/9/11');
    expect([of('C').slack, of('F').slack, of('A').slack]).toEqual([1, 1, 0]);
  });

  it('41 units', () => {
    const { finish, path, of } = solve(
      networkOf('A4; B6(A); C3(A); D6(B); E14(D); F5(C); G2(E,F); H2(G); I3(G); J4(H,I); K2(J)'),
    );
    expect(finish).toBe(41);
    expect(path).toBe('ABDEGIJK');
    expect(times(of('C'))).toBe('4/7/22/25');
    expect(times(of('F'))).toBe('7/12/25/30');
    expect(times(of('H'))).toBe('32/34/33/35');
  });
});

/** A partial order whose nodes wait for nodes of lower number. */
const networks = fc.array(fc.tuple(fc.nat(100_000), fc.array(fc.nat(1_000), { maxLength: 4 })), {
  minLength: 1,
  maxLength: 25,
});

const built = (rows: readonly (readonly [number, readonly number[]])[]) => {
  const predecessors = rows.map(([, links], node) =>
    node === 0 ? [] : [...new Set(links.map((link) => link % node))],
  );
  const durations = rows.map(([duration]) => duration);
  return {
    predecessors,
    durations,
    ...criticalPathMethod(predecessors, new GraphOrder(predecessors).sorted, durations),
  };
};

describe('laws of a schedule', () => {
  it('nothing starts before its predecessors finish, and slack is never negative', () => {
    fc.assert(
      fc.property(networks, (rows) => {
        const { predecessors, slots, finish } = built(rows);
        slots.forEach((slot, node) => {
          expect(slot.slack).toBeGreaterThanOrEqual(0);
          expect(slot.latestFinish).toBeLessThanOrEqual(finish);
          for (const earlier of predecessors[node]!) {
            expect(slots[earlier]!.earliestFinish).toBeLessThanOrEqual(slot.earliestStart);
            expect(slots[earlier]!.latestFinish).toBeLessThanOrEqual(slot.latestStart);
          }
        });
      }),
    );
  });

  it('the critical path is a chain without slack whose times add up to the finish', () => {
    fc.assert(
      fc.property(networks, (rows) => {
        const { predecessors, durations, slots, finish, criticalPath } = built(rows);
        expect(criticalPath.reduce((sum, node) => sum + durations[node]!, 0)).toBe(finish);
        criticalPath.forEach((node, i) => {
          expect(slots[node]!.slack).toBe(0);
          if (i > 0) expect(predecessors[node]).toContain(criticalPath[i - 1]);
        });
      }),
    );
  });

  it('the finish is the length of the longest chain', () => {
    const small = fc.array(fc.tuple(fc.nat(50), fc.array(fc.nat(1_000), { maxLength: 3 })), {
      minLength: 1,
      maxLength: 9,
    });
    fc.assert(
      fc.property(small, (rows) => {
        const { predecessors, durations, finish } = built(rows);
        const chains = (node: number): number[][] => [
          [node],
          ...predecessors[node]!.flatMap((earlier) => chains(earlier).map((chain) => [...chain, node])),
        ];
        const lengths = durations.flatMap((_, node) =>
          chains(node).map((chain) => chain.reduce((sum, one) => sum + durations[one]!, 0)),
        );
        expect(finish).toBe(Math.max(...lengths));
      }),
    );
  });

  it('a delay within its slack moves nothing, one more moves the finish by one', () => {
    fc.assert(
      fc.property(networks, fc.nat(), (rows, pick) => {
        const { predecessors, durations, slots, finish } = built(rows);
        const node = pick % rows.length;
        const withDelay = (delay: number): number => {
          const longer = durations.map((duration, i) => (i === node ? duration + delay : duration));
          return criticalPathMethod(predecessors, new GraphOrder(predecessors).sorted, longer).finish;
        };
        expect(withDelay(slots[node]!.slack)).toBe(finish);
        expect(withDelay(slots[node]!.slack + 1)).toBe(finish + 1);
      }),
    );
  });
});

const schedule = (lines: string) =>
  scheduleOf(
    workspaceOf({ 'a.repair-plan.yaml': wholePlan(lines) }).plan('file:///plans/a.repair-plan.yaml')!,
  );

describe('the schedule of a plan', () => {
  it('adds tenths of an hour without a remainder (exact fractions as oracle)', () => {
    const steps = Array.from(
      { length: 30 },
      (_, i) => `  - { id: op${i}, do: sand, zone: roof, time: 0.1 h }\n`,
    );
    const found = schedule(`operations:\n${steps.join('')}`)!;
    const exact = new Fraction('0.1').mul(3_600_000).mul(30);
    expect(found.finish).toBe(exact.valueOf());
    expect(found.operations.every(({ critical }) => critical)).toBe(true);
  });

  it('counts a step without a usable time as zero and reports it', () => {
    const found = schedule(`operations:
  - { id: op10, do: mask, zone: roof, time: 12 min }
  - { id: op20, do: paint, zone: roof }
  - { id: op30, do: bake, zone: roof, time: -5 min }
  - { id: op40, do: unmask, zone: roof, time: 99999999999999999999 d }
  - { id: op50, do: consult, time: 0 min }
`)!;
    expect(found.finish).toBe(720_000);
    expect(found.untimed.map(({ id }) => id)).toEqual(['op20', 'op30', 'op40']);
  });

  it('reports where the order requires one person in two places at once', () => {
    const lines = (other: string): string => `operations:
  - { id: op10, do: mask, zone: roof, by: painter-c, time: 30 min }
  - { id: op20, do: sand, zone: doors, by: ${other}, after: [], time: 20 min }
`;
    expect(
      schedule(lines('painter-c'))!.clashes.map((pair) => pair.map(({ operation }) => operation.id)),
    ).toEqual([['op10', 'op20']]);
    expect(schedule(lines('technician-b'))!.clashes).toEqual([]);
  });

  it('is undefined if the order has a cycle', () => {
    expect(
      schedule(`operations:
  - { id: op10, do: mask, zone: roof, after: [op20] }
  - { id: op20, do: sand, zone: roof, after: [op10] }
`),
    ).toBeUndefined();
  });
});
