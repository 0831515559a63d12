import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { tokensIn } from '../../server/src/features/tokens.ts';
import { samples, workspaceOf } from '../support/files.ts';
import { exampleFiles, shortPlan as plan } from '../support/frame.ts';

const one = 'one.repair-plan.yaml';
const uri = `file:///plans/${one}`;
const open = (text: string) => workspaceOf({ ...exampleFiles, [one]: text });

test('names and quantities have different token types', () => {
  const workspace = open(plan);
  const text = workspace.text(uri)!;
  const found = tokensIn(workspace, uri).map(
    ({ start, end, kind, defines }) => `${kind}${defines ? '!' : ''} ${text.slice(start, end)}`,
  );
  expect(found).toEqual([
    'connector! inverter-dc',
    'zone rear-floor',
    'quantity 300 A',
    'quantity 1 mΩ',
    'operation! op10',
    'task disconnect',
    'connector inverter-dc',
    'quantity 0.3 h',
    'operation! op20',
    'task cover',
    'connector inverter-dc',
    'consumable dummy-plug',
    'operation op10',
    'operation op10',
    'task disconnect',
  ]);
});

describe('tokens of a range', () => {
  test('are those of the file that touch it, anchors and broken text included', () => {
    const anchored = plan
      .replace('zone: rear-floor', 'zone: &z rear-floor')
      .replace('op20\n', 'op20\n    zone: *z\n');
    const texts = [...Object.values(samples()), plan, anchored, plan.replace('300 A }', '300 A')];
    fc.assert(
      fc.property(fc.constantFrom(...texts), fc.nat(), fc.nat(), (text, a, b) => {
        const name = text.startsWith('connector-list') ? 'x.connector-list.yaml' : one;
        const workspace = workspaceOf({ ...samples(), ...exampleFiles, [name]: text });
        const of = `file:///plans/${name}`;
        const [start, end] = [a % text.length, b % text.length].sort((x, y) => x - y) as [number, number];
        const all = tokensIn(workspace, of);
        expect(tokensIn(workspace, of, { start, end })).toEqual(
          all.filter((token) => token.end >= start && token.start < end),
        );
      }),
      { numRuns: 80 },
    );
  });

  test('look at nothing outside of it', () => {
    const steps = Array.from(
      { length: 4_000 },
      (_, i) => `  - { id: op${i}, do: grind, zone: rear-floor, time: 1 h }`,
    );
    const text = `plan: X-1\noperations:\n${steps.join('\n')}\n`;
    const workspace = open(text);
    const start = text.indexOf('op2000,');
    const items = (workspace.document(uri)!.root as never as { entries: { value: { items: object[] } }[] })
      .entries[1]!.value.items;
    items.forEach((item, i) => {
      if (i >= 2000 && i < 2050) return;
      const poisoned = () => {
        throw new Error(`step ${i} was looked at`);
      };
      Object.defineProperties(item, { entries: { get: poisoned }, entry: { get: poisoned } });
    });
    const found = tokensIn(workspace, uri, { start, end: text.indexOf('op2049,') });
    // The id, the task, the zone and the time of 49 steps.
    expect(found).toHaveLength(4 * 49);
    expect(() => tokensIn(workspace, uri)).toThrow('was looked at');
  });
});
