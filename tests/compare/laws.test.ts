import fc from 'fast-check';
import { expect, test, vi } from 'vitest';
import { isSame, movesOf } from '../../server/src/compare/compare.ts';
import { commonSubsequence } from '../../server/src/compare/matching.ts';
import { SharedOrder } from '../../server/src/compare/order-difference.ts';
import { sumAmounts } from '../../server/src/costing/decimal.ts';
import { cleanPlans } from '../laws/clean-plans.ts';
import { patience, runs } from '../laws/runs.ts';
import { compared, planName, plainly, versions } from './versions.ts';

vi.setConfig({ testTimeout: patience });

test('a plan compared with itself, in whatever style it is written, is the same', () => {
  fc.assert(
    fc.property(cleanPlans, ({ files }) => {
      const restyled = files[planName]!.replaceAll(/ # note-\d+/g, '').replaceAll(/\n\n+/g, '\n');
      expect(isSame(compared(files, files))).toBe(true);
      expect(isSame(compared(files, { ...files, [planName]: restyled }))).toBe(true);
    }),
    runs(60),
  );
});

test('compared the other way round, it says the same with old and new exchanged', () => {
  fc.assert(
    fc.property(versions, ({ old, now }) => {
      expect(plainly(compared(now, old), true)).toEqual(plainly(compared(old, now)));
    }),
    runs(120),
  );
});

test('renaming the ids of steps gives renames and nothing else', () => {
  fc.assert(
    fc.property(cleanPlans, ({ files }) => {
      const text = files[planName]!.replaceAll(/\bop(\d+)\b(?!\.jpg)/g, 'step-$1x');
      const found = compared(files, { ...files, [planName]: text });
      const { renamed, ...rest } = found;
      expect(isSame({ ...found, renamed: [] })).toBe(true);
      expect(renamed.length).toBe(rest.new.plan.steps.length);
    }),
    runs(60),
  );
});

test('an `after` that follows from others changes nothing', () => {
  fc.assert(
    fc.property(versions, fc.nat(), ({ old }, at) => {
      const lines = old[planName]!.split('\n');
      const steps = [...lines.keys()].filter((i) => /^ {2}- \{ id: op\d/.test(lines[i]!));
      const plain = steps.filter((i, n) => n > 1 && !lines[i]!.includes('after:'));
      fc.pre(plain.length > 0);
      const one = plain[at % plain.length]!;
      const place = steps.indexOf(one);
      const above = lines[steps[place - 1]!]!;
      const id = /id: (op\d+)/.exec(above)![1]!;
      // What the step above waits for comes before this one already.
      const named = /after: \[(op\d+)/.exec(above)?.[1];
      const further = named ?? /id: (op\d+)/.exec(lines[steps[place - 2]!]!)![1]!;
      fc.pre(named !== undefined || !above.includes('after:'));
      lines[one] = lines[one]!.replace(/id: op\d+/, `$&, after: [${id}, ${further}]`);
      expect(isSame(compared(old, { ...old, [planName]: lines.join('\n') }))).toBe(true);
    }),
    runs(60),
  );
});

test('the difference in money is the sum of its lines', () => {
  fc.assert(
    fc.property(versions, ({ old, now }) => {
      const { money } = compared(old, now);
      const lines = [...money.labour, ...money.materials];
      expect(sumAmounts(lines.map(({ difference }) => difference)).toFixed()).toBe(money.net!.toFixed());
      expect(money.new.net.amount.minus(money.old.net.amount).toFixed()).toBe(money.net!.toFixed());
    }),
    runs(120),
  );
});

test('each finding is told exactly once', () => {
  fc.assert(
    fc.property(versions, ({ old, now }) => {
      const { findings, ...sides } = compared(old, now);
      const before = [...findings.kept.map(([told]) => told), ...findings.gone];
      const after = [...findings.kept.map(([, told]) => told), ...findings.fresh];
      expect(new Set(before)).toEqual(new Set(sides.old.findings));
      expect(before).toHaveLength(sides.old.findings.length);
      expect(new Set(after)).toEqual(new Set(sides.new.findings));
      expect(after).toHaveLength(sides.new.findings.length);
      for (const [told, other] of findings.kept) expect(told.finding).toBe(other.finding);
    }),
    runs(120),
  );
});

/** A directed graph without circles: edges lead from smaller to larger numbers, then nodes are renamed. */
const networks = fc
  .tuple(fc.integer({ min: 1, max: 40 }), fc.array(fc.tuple(fc.nat(39), fc.nat(39)), { maxLength: 120 }))
  .map(([count, edges]) => {
    const predecessors: number[][] = Array.from({ length: count }, () => []);
    for (const [a, b] of edges) if (a < b && b < count) predecessors[b]!.push(a);
    return predecessors;
  });

test('the transitive reduction on some nodes is that of the definition, and closes to the same order', () => {
  fc.assert(
    fc.property(networks, fc.nat(), (predecessors, seed) => {
      const count = predecessors.length;
      const all = [...predecessors.keys()];
      const shared = all.filter((node) => (seed >> (node % 24)) % 3 !== 0 || node === count - 1);
      const plan = { network: { predecessors, nodes: all }, operations: all } as never;
      const order = new SharedOrder(plan, all, shared);
      // From the definition, by brute force (Warshall).
      const before = all.map(() => new Array<boolean>(count).fill(false));
      predecessors.forEach((list, node) => list.forEach((earlier) => (before[earlier]![node] = true)));
      for (const k of all)
        for (const i of all)
          for (const j of all) {
            before[i]![j] ||= before[i]![k]! && before[k]![j]!;
          }
      const expected = shared.flatMap((a, i) =>
        shared.flatMap((b, j) =>
          before[a]![b] && !shared.some((c) => before[a]![c] && before[c]![b]) ? [`${i} ${j}`] : [],
        ),
      );
      expect([...order.reduction()].map(([a, b]) => `${a} ${b}`).sort()).toEqual(expected.sort());
      shared.forEach((a, i) => shared.forEach((b, j) => expect(order.before([i, j])).toBe(before[a]![b])));
    }),
    runs(300),
  );
});

test('a longest common subsequence is as long as by its recursion, and the same from either side', () => {
  const word = fc.constantFrom('a', 'b', 'c');
  const length = (a: readonly string[], b: readonly string[]): number =>
    a.length === 0 || b.length === 0
      ? 0
      : a[0] === b[0]
        ? 1 + length(a.slice(1), b.slice(1))
        : Math.max(length(a.slice(1), b), length(a, b.slice(1)));
  fc.assert(
    fc.property(fc.array(word, { maxLength: 8 }), fc.array(word, { maxLength: 8 }), (a, b) => {
      const found = commonSubsequence(a, b);
      for (const [i, j] of found) expect(a[i]).toBe(b[j]);
      expect(found).toHaveLength(length(a, b));
      expect(commonSubsequence(b, a).map(([i, j]) => [j, i])).toEqual(found);
    }),
    runs(300),
  );
});

test('a step that is moved along a chain is one line', () => {
  const chain = (ids: readonly string[]): Record<string, string> => ({
    [planName]: `plan: T\nvehicle: { description: Kestrel, propulsion: hybrid }\noperations:\n${ids
      .map((id) => `  - { id: ${id}, do: remove, zone: roof, note: ${id} }\n`)
      .join('')}`,
  });
  fc.assert(
    fc.property(fc.integer({ min: 2, max: 12 }), fc.nat(), fc.nat(), (count, from, to) => {
      const ids = Array.from({ length: count }, (_, i) => `s${i}`);
      const moved = ids.filter((_, i) => i !== from % count);
      moved.splice(to % count, 0, ids[from % count]!);
      const { order } = compared(chain(ids), chain(moved));
      expect(movesOf(order!)).toHaveLength(from % count === to % count ? 0 : 1);
    }),
    runs(100),
  );
});
