import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { samples } from '../support/files.ts';
import { folderWith, plugward, removeFolders } from './run.ts';

afterAll(removeFolders);

const plan = 'quarter-panel.repair-plan.yaml';

/** A figure and its unit are never parted: without those blanks. */
const plain = (text: string): string => text.replaceAll('\u00a0', ' ');

describe('plugward heat', () => {
  const cwd = folderWith(samples());
  const heat = (...args: string[]) => plugward(cwd, ['heat', ...args]);

  test('prints the table of a connector under its caution', () => {
    const { code, out, err } = heat(plan, '--connector', 'inverter-dc');
    expect({ code, err }).toEqual({ code: 0, err: '' });
    // P = I²R worked by hand: 180² A² × 0.5 mΩ = 16.2 W, 520² A² × 0.5 mΩ = 135.2 W.
    expect(plain(out)).toMatch(/at the limit, 0\.5 mΩ +16\.2 W .*135 W/);
    expect(out.indexOf('not a measurement')).toBeLessThan(plain(out).indexOf('at the limit, 0.5'));
    expect(out).not.toMatch(/\*\*|\\|\|/);
    expect(out).not.toContain('charge-inlet');
  });

  test('takes every connector with a current when none is named, of a list too', () => {
    for (const file of [plan, 'kestrel.connector-list.yaml']) {
      const { out } = heat(file);
      expect(out.match(/^[\w-]+ · /gm)).toEqual(['inverter-dc · ', 'charge-inlet · ']);
    }
  });

  test('JSON holds the same in SI units', () => {
    const { connectors, note } = JSON.parse(heat(plan, '-c', 'inverter-dc', '--format', 'json').out) as {
      note: string;
      connectors: { id: string; rows: { key: string; resistance: number; steady: number; peak: number }[] }[];
    };
    expect(note).toContain('not a measurement');
    expect(connectors.map(({ id }) => id)).toEqual(['inverter-dc']);
    const limit = connectors[0]!.rows.find(({ key }) => key === 'limit')!;
    expect(limit.resistance).toBeCloseTo(0.0005, 12);
    expect(limit.steady).toBeCloseTo(16.2, 9);
    expect(limit.peak).toBeCloseTo(135.2, 9);
  });

  test('shows details for a test engineer: bounds from the drop, the cycle, every assumption with its reason', () => {
    const { out } = heat(plan, '-c', 'inverter-dc');
    expect(plain(out)).toMatch(/measured, 0\.31 ± 0\.02 mΩ +10\.04 ± 0\.65 W +12\.6 W \(.*83\.8 ± 5\.4 W/);
    const text = out.replace(/\s+/g, ' ');
    // (480²·10 + 120²·60 + 200²·10)/120 = 29 733 A²
    expect(text).toContain(
      'Duty cycle of 2 min: 480 A for 10 s, 120 A for 60 s, −200 A for 10 s, 0 A for 40 s; 172 A RMS.',
    );
    expect(text).toContain('one clean round spot of copper at 20 °C, its radius would be 27.8 µm');
    expect(text).toContain("share of the cable's warming that reaches the connector: 50 %");
    expect(text).toMatch(/Outside of its housing, in continuous use at 180 A as measured: 83 °C/);
  });

  test('JSON carries the reading’s uncertainty, the cycle and the bounds', () => {
    const { connectors } = JSON.parse(heat(plan, '-c', 'inverter-dc', '--format', 'json').out) as {
      connectors: {
        rows: Record<string, never>[];
        judgement: { rule: string };
        assumptions: { name: string; reason: string }[];
        cycle: { rms: number; pieces: unknown[] };
        largestResistance: Record<string, unknown>;
      }[];
    };
    const [{ rows, cycle, largestResistance, judgement, assumptions }] = connectors as [
      (typeof connectors)[0],
    ];
    const measured = rows.find(({ key }) => key === 'measured')!;
    expect(measured['uncertainties']).toMatchObject({ steady: expect.closeTo(0.648, 9) as number });
    expect(measured['touch']).toMatchObject({ withoutBurn: 0, threshold: 338.15 });
    for (const key of ['spotTemperature', 'firstRoundTemperature', 'cycleTemperature'])
      expect(measured[key]).toMatchObject({ value: expect.any(Number) as number });
    expect(judgement.rule).toContain('JCGM 106');
    expect(assumptions.map(({ name }) => name)).toContain('growth of the resistance with its temperature');
    for (const { reason } of assumptions) expect(reason).toMatch(/^assumed: /);
    expect(cycle.pieces).toHaveLength(4);
    expect(cycle.rms ** 2).toBeCloseTo(29_733.33, 1);
    expect(Object.keys(largestResistance)).toEqual([
      'forBudget',
      'forCycleBudget',
      'forSteadyTemperature',
      'forPeakTemperature',
      'forCycleTemperature',
      'forSoftening',
    ]);
  });

  test('draws both pictures into one file', () => {
    const args = [plan, '-c', 'inverter-dc', '--format', 'svg'];
    expect(heat(...args, '-o', 'heat.svg')).toEqual({ code: 0, out: '', err: '' });
    const svg = readFileSync(join(cwd, 'heat.svg'), 'utf8');
    expect(svg).toBe(heat(...args).out);
    expect(svg).toMatch(/^<svg [^>]+>.*<\/svg>\n$/s);
    expect(svg).toContain('<title>Heat of inverter-dc</title>');
    expect(svg).toContain('<title>Temperature of inverter-dc</title>');
    expect(svg).not.toContain('<title>Heat of charge-inlet</title>');
  });

  test('draws every connector with a current when none is named', () => {
    const svg = heat(plan, '--format', 'svg').out;
    for (const id of ['inverter-dc', 'charge-inlet']) expect(svg).toContain(`<title>Heat of ${id}</title>`);
  });

  test.each([
    ['no plan', []],
    ['two plans', [plan, 'kestrel.connector-list.yaml']],
    ['a folder', ['.']],
    ['a connector that does not exist', [plan, '-c', 'inverter-dx']],
    ['a picture of nothing', [plan, '-c', 'tail-lamp-left', '--format', 'svg']],
    ['a file without a current', ['harbour-lane.rate-sheet.yaml']],
    ['a file that is not there', ['gone.repair-plan.yaml']],
    ['a plan as the place to write to', [plan, '-o', plan]],
  ])('rejects %s in one sentence, with exit code 2', (_why, args) => {
    const before = readFileSync(join(cwd, plan), 'utf8');
    const { code, out, err } = heat(...args);
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toMatch(/^plugward: .+[.?]\n$/);
    expect(readFileSync(join(cwd, plan), 'utf8')).toBe(before);
  });
});
