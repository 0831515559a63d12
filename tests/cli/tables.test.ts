import { afterAll, describe, expect, test } from 'vitest';
import { builtInTasks } from '../../server/src/plan/tables/tasks.ts';
import { samples } from '../support/files.ts';
import { folderWith, plugward, removeFolders } from './run.ts';

afterAll(removeFolders);

interface Row {
  readonly id: string;
  readonly own: boolean;
  readonly needs: readonly string[];
  readonly makes: readonly string[];
  readonly ends: readonly string[];
  readonly beside: readonly string[];
}

describe('plugward tasks and zones', () => {
  const cwd = folderWith({
    ...samples(),
    'own.rate-sheet.yaml': `rate-sheet: own
currency: EUR
tasks:
  - { id: blast, raises: [dust], needs: [12v-off] }
  - { id: weld, needs: [restraint-safe] }
`,
  });

  test('list every built-in task with what it needs, makes and ends', () => {
    const { code, out, err } = plugward(cwd, ['tasks', '--format', 'json']);
    expect({ code, err }).toEqual({ code: 0, err: '' });
    const { tasks } = JSON.parse(out) as { tasks: Row[] };
    expect(tasks.map(({ id }) => id)).toEqual([...builtInTasks.keys()]);
    const row = (id: string): Row => tasks.find((one) => one.id === id)!;
    expect(row('prove-dead').makes).toContain('high-voltage-dead');
    expect(row('power-up').ends).toContain('isolated');
    expect(row('clean').needs).toContain('high-voltage-dead');
    expect(tasks.some(({ own }) => own)).toBe(false);
  });

  test('add the rows of a sheet, and take no built-in row away', () => {
    const { out } = plugward(cwd, ['tasks', 'own.rate-sheet.yaml']);
    expect(out).toMatch(/^blast \* +dust +beside +12v-off/m);
    expect(out).toMatch(/^weld \* +spatter heat conductive-debris +beside +restraint-safe/m);
  });

  test('list the zones of a list beside the built-in ones', () => {
    const { out } = plugward(cwd, ['zones', 'kestrel.connector-list.yaml']);
    expect(out).toMatch(/^rear-drive \* +quarter-left quarter-right rear-floor underbody$/m);
    const { zones } = JSON.parse(plugward(cwd, ['zones', '--format', 'json']).out) as { zones: Row[] };
    expect(zones.find(({ id }) => id === 'roof')!.beside).toEqual([
      'cabin',
      'doors',
      'quarter-left',
      'quarter-right',
    ]);
  });

  test('refuse two files, and say which one is not there', () => {
    expect(plugward(cwd, ['tasks', 'a', 'b']).code).toBe(2);
    expect(plugward(cwd, ['zones', 'missing.yaml'])).toMatchObject({ code: 2 });
  });
});
