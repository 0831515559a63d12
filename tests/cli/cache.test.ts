import { spawn } from 'node:child_process';
import { once } from 'node:events';
import {
  chmodSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { digest } from '../../server/src/disk/entries.ts';
import { lacks } from '../support/programs.ts';
import { cli, folderWith, plugward, removeFolders } from './run.ts';
import type { Ran } from './run.ts';

afterAll(removeFolders);

const sheet = 'rate-sheet: harbour-lane\ncurrency: EUR\nrates:\n  - { id: body, per-hour: 96 }\n';
/** One that uses a list, which uses another list, and names a photograph. */
const plan = `plan: HL-1
vehicle: { description: Kestrel estate (invented), propulsion: hybrid }
uses: [./harbour-lane.rate-sheet.yaml, ./shared/kestrel.connector-list.yaml]
evidence:
  - { id: E1, photo: ./lamp.jpg, of: the lamp, taken: 2027-01-11 }
operations:
  - { id: op10, do: disconnect, connectors: [lamp] }
accepted:
  - { finding: labour-missing, at: op10, reason: goodwill, by: A. Lee, until: 2027-02-01 }
`;
const list = 'connector-list: kestrel\nuses: [./more.connector-list.yaml]\nconnectors: []\n';
const more = 'connector-list: more\nconnectors:\n  - { id: lamp, class: low-voltage, zone: quarter-left }\n';

interface Place {
  readonly cwd: string;
  readonly cache: string;
}

/** A folder of plans, and beside it a cache. */
function placed(files: Readonly<Record<string, string>> = {}): Place {
  const root = folderWith({
    'plans/a.repair-plan.yaml': plan,
    'plans/harbour-lane.rate-sheet.yaml': sheet,
    'plans/shared/kestrel.connector-list.yaml': list,
    'plans/shared/more.connector-list.yaml': more,
    'plans/lamp.jpg': '',
    ...files,
  });
  return { cwd: join(root, 'plans'), cache: join(root, 'cache') };
}

const today = ['--today', '2027-01-20'];
const run = ({ cwd, cache }: Place, ...args: string[]): Ran =>
  plugward(cwd, ['check', ...today, ...args], { env: { XDG_CACHE_HOME: cache } });

/** The entries of a cache. */
function entriesOf({ cache }: Place): string[] {
  const folder = join(cache, 'plugward');
  if (!existsSync(folder)) return [];
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((name) => /^[0-9a-f]{2}[/\\]/.test(name))
    .map((name) => join(folder, name));
}

/** Has every entry say something else than what was found, with or without a seal that fits. */
function change(place: Place, from: string, to: string, isSealed: boolean): void {
  for (const file of entriesOf(place)) {
    const [seal, ...lines] = readFileSync(file, 'utf8').split('\n');
    const body = lines.join('\n').replaceAll(from, to);
    const key = file.slice(-65).replace(/[/\\]/, '');
    writeFileSync(file, `${isSealed ? digest(`${key}\n${body}`) : seal}\n${body}`);
  }
}

describe('a second check of unchanged files', () => {
  test('is answered from the cache, and says the same', () => {
    const place = placed();
    const first = run(place);
    expect(first.out).toContain('op10');
    expect(run(place)).toEqual(first);
    // Who could write there could make it say anything: so it was read.
    change(place, 'op10', 'op99', true);
    expect(run(place).out).toBe(first.out.replaceAll('op10', 'op99'));
    expect(run(place, '--no-cache')).toEqual(first);
  });

  test('says the same in every form, whatever form came first', () => {
    const place = placed();
    for (const args of [
      ['--format', 'json'],
      ['--format', 'sarif'],
      ['--format', 'annotations'],
      ['--quiet'],
      ['--ascii'],
      ['--statistics'],
      ['--language', 'es'],
      ['--fail-on', 'error'],
      ['.', '--severity', 'unused-id=error'],
      ['a.repair-plan.yaml'],
    ]) {
      expect(run(place, ...args)).toEqual(run(place, '--no-cache', ...args));
      expect(run(place, ...args)).toEqual(run(place, '--no-cache', ...args));
    }
  });

  test('believes no entry that is damaged or torn', () => {
    const place = placed();
    const first = run(place);
    change(place, 'op10', 'op99', false);
    expect(run(place)).toEqual(first);
    for (const file of entriesOf(place)) writeFileSync(file, readFileSync(file).subarray(0, 200));
    expect(run(place)).toEqual(first);
    for (const file of entriesOf(place)) writeFileSync(file, '');
    expect(run(place)).toEqual(first);
  });

  test('believes no entry that is sealed and has no sense', () => {
    const place = placed();
    const first = run(place);
    for (const to of ['{', '{"used":[]', '[]', '\n']) {
      change(place, '{"used":[', to, true);
      expect(run(place)).toEqual(first);
    }
  });
});

const file = (name: string) => (cwd: string) => join(cwd, name);
const [own, rates, far, photo] = [
  'a.repair-plan.yaml',
  'harbour-lane.rate-sheet.yaml',
  'shared/more.connector-list.yaml',
  'lamp.jpg',
].map((name) => file(name!)) as [
  (cwd: string) => string,
  (cwd: string) => string,
  (cwd: string) => string,
  (cwd: string) => string,
];
const rewrite = (name: (cwd: string) => string, from: string, to: string) => (cwd: string) =>
  writeFileSync(name(cwd), readFileSync(name(cwd), 'utf8').replace(from, to));

describe('a check goes by what is there now', () => {
  test.each<[what: string, (cwd: string) => void, ...more: string[]]>([
    ['the plan', rewrite(own, 'disconnect', 'disconect')],
    ['a byte-order mark, which changes nothing', rewrite(own, 'plan', '\ufeffplan')],
    ['the sheet', rewrite(rates, 'EUR', 'euros')],
    ['a list that a list uses', rewrite(far, 'low-voltage', 'high-voltage-power')],
    ['a list that a list uses, gone', (cwd) => rmSync(far(cwd))],
    ['a list in other capitals', (cwd) => renameSync(far(cwd), join(cwd, 'shared/More.connector-list.yaml'))],
    ['a photograph, gone', (cwd) => rmSync(photo(cwd))],
    ['a photograph that is a folder', (cwd) => (rmSync(photo(cwd)), mkdirSync(photo(cwd)))],
    ['the last day of an acceptance', () => undefined, '--today', '2027-02-01'],
    ['the day after it', () => undefined, '--today', '2027-02-02'],
    ['a severity', () => undefined, '--severity', 'never-closed=off'],
    ['a language', () => undefined, '--language', 'es'],
  ])('%s', (_what, act, ...args) => {
    const place = placed();
    run(place);
    act(place.cwd);
    const now = run(place, ...args);
    expect(now).toEqual(run(place, '--no-cache', ...args));
    expect(run(place, ...args)).toEqual(now);
  });

  test('and says something else then', () => {
    const place = placed();
    const first = run(place);
    for (const act of [
      rewrite(own, 'disconnect', 'disconect'),
      rewrite(far, 'lamp', 'light'),
      (cwd: string) => rmSync(photo(cwd)),
    ]) {
      act(place.cwd);
      expect(run(place).out).not.toBe(first.out);
    }
    expect(run(place, '--today', '2027-02-02').out).toContain('acceptance-expired');
  });

  test.skipIf(lacks('links'))('a used file that has become a link out of the folder is not read', () => {
    const place = placed();
    run(place);
    const outside = join(place.cwd, '../outside.connector-list.yaml');
    renameSync(far(place.cwd), outside);
    symlinkSync(outside, far(place.cwd));
    const now = run(place);
    expect(now.out).not.toBe(run(placed()).out);
    expect(now).toEqual(run(place, '--no-cache'));
  });

  test.skipIf(lacks('a user with fewer rights'))('a used file that may no longer be read', () => {
    const place = placed();
    run(place);
    chmodSync(far(place.cwd), 0);
    expect(run(place)).toMatchObject({ code: 2, err: expect.stringContaining('permission') as string });
  });

  test('what uses a file that is missing is looked at anew each time, until it is there', () => {
    const place = placed();
    const text = readFileSync(far(place.cwd), 'utf8');
    rmSync(far(place.cwd));
    const without = run(place);
    expect(run(place)).toEqual(without);
    writeFileSync(far(place.cwd), text);
    expect(run(place)).toEqual(run(place, '--no-cache'));
    expect(run(place).out).not.toBe(without.out);
  });
});

describe('the cache', () => {
  test('is not written with --no-cache, nor by what checks a part of the findings', () => {
    const place = placed();
    run(place, '--no-cache');
    run(place, '--write-baseline', '../baseline.json');
    expect(entriesOf(place)).toEqual([]);
  });

  test('holds an entry for each file, and nothing half written', () => {
    const place = placed();
    run(place);
    expect(entriesOf(place)).toHaveLength(4);
    run(place);
    run(place, '--format', 'json');
    expect(entriesOf(place)).toHaveLength(4);
  });

  test('in the folder that is checked is neither read nor written', () => {
    const place = placed();
    const first = run(place);
    // Handed over along with the plans, by somebody who says that nothing is wrong with them.
    change(place, 'op10', 'op99', true);
    const handed = join(place.cwd, 'cache');
    renameSync(place.cache, handed);
    expect(run({ cwd: place.cwd, cache: handed })).toEqual(first);
    const parts = { cwd: join(place.cwd, 'shared'), cache: handed };
    mkdirSync(join(place.cwd, '.git'));
    expect(run(parts, '..')).toEqual(run(parts, '--no-cache', '..'));
  });

  test.skipIf(lacks('modes of files'))('that others may write to is neither read nor written', () => {
    const place = placed();
    const first = run(place);
    change(place, 'op10', 'op99', true);
    chmodSync(join(place.cache, 'plugward'), 0o777);
    expect(run(place)).toEqual(first);
  });

  test('that cannot be made is done without, and nothing is said', () => {
    const place = placed({ cache: 'a file' });
    expect(run(place)).toEqual(run(place, '--no-cache'));
  });

  test.skipIf(lacks('one Node for all'))('serves several runs at once', async () => {
    const place = placed(
      Object.fromEntries(
        Array.from({ length: 40 }, (_, i) => [
          `plans/${i}.repair-plan.yaml`,
          plan.replace('HL-1', `HL-${i}`),
        ]),
      ),
    );
    const outputs = await Promise.all(
      Array.from({ length: 4 }, async () => {
        const child = spawn(process.execPath, [cli, 'check', ...today], {
          cwd: place.cwd,
          env: { ...process.env, COLUMNS: '80', XDG_CACHE_HOME: place.cache },
        });
        let out = '';
        child.stdout.on('data', (data: Buffer) => (out += data.toString()));
        await once(child, 'close');
        return out;
      }),
    );
    const { out } = run(place, '--no-cache');
    expect(outputs).toEqual([out, out, out, out]);
    expect(run(place).out).toBe(out);
    expect(entriesOf(place)).toHaveLength(44);
  });
});

test.each([['0'], ['65'], ['two'], ['-1']])('--jobs refuses %s', (jobs) => {
  expect(run(placed(), '--jobs', jobs)).toMatchObject({ code: 2, out: '' });
});
