import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { samples } from '../support/files.ts';
import { folderWith, plugward, removeFolders } from './run.ts';

afterAll(removeFolders);

const plan = 'quarter-panel.repair-plan.yaml';

describe('plugward heat', () => {
  const cwd = folderWith(samples());
  const heat = (...args: string[]) => plugward(cwd, ['heat', ...args]);

  test('prints the table of a connector under its caution', () => {
    const { code, out, err } = heat(plan, '--connector', 'inverter-dc');
    expect({ code, err }).toEqual({ code: 0, err: '' });
    // P = I²R worked by hand: 180² A² × 0.5 mΩ = 16.2 W, 520² A² × 0.5 mΩ = 135.2 W.
    expect(out).toMatch(/at the limit +0\.5 mΩ +16\.2 W +135 W/);
    expect(out.indexOf('not a measurement')).toBeLessThan(out.indexOf('at the limit'));
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

  test('draws both pictures into one file', () => {
    const args = [plan, '-c', 'inverter-dc', '--format', 'svg'];
    expect(heat(...args, '-o', 'heat.svg')).toEqual({ code: 0, out: '', err: '' });
    const svg = readFileSync(join(cwd, 'heat.svg'), 'utf8');
    expect(svg).toBe(heat(...args).out);
    expect(svg).toMatch(/^<svg [^>]+>.*<\/svg>\n$/s);
    expect(svg).toContain('<title>Heat of inverter-dc</title>');
    expect(svg).toContain('<title>Temperature of inverter-dc</title>');
  });

  test.each([
    ['no plan', []],
    ['two plans', [plan, 'kestrel.connector-list.yaml']],
    ['a folder', ['.']],
    ['a connector that does not exist', [plan, '-c', 'inverter-dx']],
    ['pictures of no connector in particular', [plan, '--format', 'svg']],
    ['a picture of nothing', [plan, '-c', 'tail-lamp-left', '--format', 'svg']],
    ['a file without a current', ['harbour-lane.rate-sheet.yaml']],
    ['a file that is not there', ['gone.repair-plan.yaml']],
    ['a plan as the place to write to', [plan, '-o', plan]],
  ])('refuses %s in one sentence, with exit code 2', (_why, args) => {
    const before = readFileSync(join(cwd, plan), 'utf8');
    const { code, out, err } = heat(...args);
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toMatch(/^plugward: .+[.?]\n$/);
    expect(readFileSync(join(cwd, plan), 'utf8')).toBe(before);
  });
});
