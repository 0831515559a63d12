import { execFileSync } from 'node:child_process';
import {
  chmodSync,
  lstatSync,
  readdirSync,
  readFileSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { readTextFile, replace } from '../../server/src/cli/files.ts';
import { lacks, onPath } from '../support/programs.ts';
import { folderWith, plugward, removeFolders } from './run.ts';

afterAll(removeFolders);

const vehicle = 'vehicle: { description: Kestrel estate (invented), propulsion: hybrid }\n';
/** One slip with one right answer (`title`), and comments and odd spacing to keep. */
const slip = `plan: T-2   # the number\n\ntite:    A repair\n${vehicle}operations: [ ]\n`;
const mended = slip.replace('tite', 'title');
const name = 'b.repair-plan.yaml';

/** What a safe fix cannot mend, and an unsafe one can. */
const owing = `plan: T-3
vehicle: { description: Kestrel estate (invented), propulsion: hybrid }
connectors:
  - { id: door-plug, class: low-voltage, zone: cabin }
operations:
  - { id: op10, do: disconnect, connectors: [door-plug] }
  - { id: op20, do: inspect, connectors: [door-plug] }
  - { id: op30, do: reconnect, connectors: [door-plug] }
  - { id: op40, do: seated-check, connectors: [door-plug] }
`;

describe('writing', () => {
  test('safe fixes, and nothing but what they change', () => {
    const cwd = folderWith({ [name]: slip, 'other.txt': 'x' });
    chmodSync(join(cwd, name), 0o640);
    const ran = plugward(cwd, ['fix']);
    expect(ran).toMatchObject({ code: 0, err: '' });
    expect(ran.out).toContain(`${name}: 1 fixed`);
    expect(readFileSync(join(cwd, name), 'utf8')).toBe(mended);
    if (!lacks('modes of files')) expect(statSync(join(cwd, name)).mode & 0o777).toBe(0o640);
    expect(readdirSync(cwd).sort()).toEqual([name, 'other.txt']);
    // Again, there is nothing left to do, and the file is not touched.
    const before = statSync(join(cwd, name));
    expect(plugward(cwd, ['fix']).out).toContain('Nothing to fix');
    expect(statSync(join(cwd, name)).ino).toBe(before.ino);
  });

  test('a word that a task of the shop counts for is not guessed', () => {
    const sheet = 'own.rate-sheet.yaml';
    const text = 'rate-sheet: own\ncurrency: EUR\ntasks: [{ id: zap, makes: [isolatd], raises: [dus] }]\n';
    const cwd = folderWith({ [sheet]: text });
    plugward(cwd, ['fix']);
    expect(readFileSync(join(cwd, sheet), 'utf8')).toBe(text.replace('dus]', 'dust]'));
    plugward(cwd, ['fix', '--unsafe-fixes']);
    expect(readFileSync(join(cwd, sheet), 'utf8')).toBe(
      text.replace('dus]', 'dust]').replace('isolatd', 'isolated'),
    );
  });

  test.each([
    ['nothing there', [], ['fix', 'gone.repair-plan.yaml'], 2, 'Nothing was fixed.'],
    [
      'one there and one not',
      [name],
      ['fix', name, 'gone.repair-plan.yaml'],
      2,
      '1 finding in 1 file fixed.',
    ],
    [
      'one there that is sound, and one not',
      ['ok'],
      ['fix', 'ok.repair-plan.yaml', 'gone.repair-plan.yaml'],
      2,
      'Nothing was fixed.',
    ],
    ['one that is sound', ['ok'], ['fix', 'ok.repair-plan.yaml'], 0, 'Nothing to fix safely in 1 file.'],
  ] as const)('the last line says what was done: %s', (_, there, command, code, last) => {
    const cwd = folderWith({
      'note.txt': 'x',
      ...Object.fromEntries(
        there.map((one) => (one === 'ok' ? ['ok.repair-plan.yaml', mended] : [one, slip])),
      ),
    });
    const ran = plugward(cwd, [...command]);
    expect(ran.code).toBe(code);
    expect(ran.out.trimEnd().split('\n').at(-1)).toBe(last);
    if (code === 2) expect(ran.err).toContain('gone.repair-plan.yaml was not read');
  });

  test.each([
    ['CR LF', slip.replaceAll('\n', '\r\n'), mended.replaceAll('\n', '\r\n')],
    ['a byte-order mark', `\ufeff${slip}`, `\ufeff${mended}`],
    ['no line end at the end', slip.trimEnd(), mended.trimEnd()],
  ])('%s stays', (_, before, after) => {
    const cwd = folderWith({ [name]: before });
    expect(plugward(cwd, ['fix', name]).code).toBe(0);
    expect(readFileSync(join(cwd, name), 'utf8')).toBe(after);
  });

  test('fixes that change work or bill need --unsafe-fixes, and are counted', () => {
    const cwd = folderWith({ [name]: owing });
    const safe = plugward(cwd, ['fix']);
    expect(safe.out).toMatch(/With --unsafe-fixes more can be fixed in 1 file:/);
    expect(readFileSync(join(cwd, name), 'utf8')).toBe(owing);
    const only = plugward(cwd, ['fix', '--unsafe-fixes', '--only', 'labour-missing']);
    expect(only.code).toBe(0);
    expect(readFileSync(join(cwd, name), 'utf8')).toMatch(/^labour:\n/m);
    expect(plugward(cwd, ['check', '--format', 'json']).out).not.toContain('"labour-missing"');
    expect(plugward(cwd, ['fix', '--only', 'labour-mising'])).toMatchObject({
      code: 2,
      err: expect.stringContaining('Did you mean labour-missing?') as string,
    });
  });

  test('--dry-run and --diff write nothing and report that something would change', () => {
    const cwd = folderWith({ [name]: slip });
    const dry = plugward(cwd, ['fix', '--dry-run']);
    expect(dry).toMatchObject({
      code: 1,
      out: expect.stringContaining(`${name}: 1 would be fixed`) as string,
    });
    expect(plugward(cwd, ['fix', '--diff']).code).toBe(1);
    expect(readFileSync(join(cwd, name), 'utf8')).toBe(slip);
    expect(plugward(folderWith({ [name]: mended }), ['fix', '--diff'])).toMatchObject({ code: 0, out: '' });
  });

  // Source: git, which reads the unified format, applies the patch and gets the text that `fix` writes.
  test.skipIf(!onPath('git')).each([
    ['LF', slip],
    ['CR LF', slip.replaceAll('\n', '\r\n')],
    ['no line end at the end', owing.trimEnd()],
  ])('the diff can be applied (%s)', (_, text) => {
    const files = { [name]: text, 'sub/with space.repair-plan.yaml': text };
    const [patched, fixed] = [folderWith(files), folderWith(files)];
    const { out } = plugward(patched, ['fix', '--diff', '--unsafe-fixes']);
    execFileSync('git', ['apply', '--whitespace=nowarn', '-'], { cwd: patched, input: out });
    plugward(fixed, ['fix', '--unsafe-fixes']);
    for (const file of Object.keys(files)) {
      const result = readFileSync(join(patched, file), 'utf8');
      expect(result).toBe(readFileSync(join(fixed, file), 'utf8'));
      expect(result).not.toBe(text);
    }
  });

  test('standard input goes to standard output, changed or not', () => {
    const cwd = folderWith({});
    const args = ['fix', '-', '--stdin-filename', name];
    expect(plugward(cwd, args, { input: slip }).out).toBe(mended);
    expect(plugward(cwd, args, { input: `\ufeff${mended}` }).out).toBe(`\ufeff${mended}`);
    expect(readdirSync(cwd)).toEqual([]);
  });
});

describe('what is left alone', () => {
  test.skipIf(lacks('links'))(
    'a link that leads out of the given paths; one that stays inside is followed and remains a link',
    () => {
      const root = folderWith({
        'shop/real/in.repair-plan.yaml': slip,
        'elsewhere/out.repair-plan.yaml': slip,
      });
      const shop = join(root, 'shop');
      symlinkSync('../elsewhere/out.repair-plan.yaml', join(shop, 'out.repair-plan.yaml'));
      const ran = plugward(shop, ['fix', 'out.repair-plan.yaml']);
      expect(ran.code).toBe(2);
      expect(ran.err).toContain(
        'out.repair-plan.yaml was not changed: it is a link that leads out of the given paths',
      );
      expect(plugward(shop, ['fix', '.']).code).toBe(2);
      expect(readFileSync(join(root, 'elsewhere/out.repair-plan.yaml'), 'utf8')).toBe(slip);

      writeFileSync(join(shop, 'real/in.repair-plan.yaml'), slip);
      symlinkSync('real/in.repair-plan.yaml', join(shop, 'in.repair-plan.yaml'));
      expect(plugward(shop, ['fix', 'in.repair-plan.yaml']).code).toBe(0);
      expect(lstatSync(join(shop, 'in.repair-plan.yaml')).isSymbolicLink()).toBe(true);
      expect(readFileSync(join(shop, 'real/in.repair-plan.yaml'), 'utf8')).toBe(mended);
    },
  );

  test('a file that changed since it was read', async () => {
    const cwd = folderWith({ [name]: slip });
    const path = join(cwd, name);
    const read = readTextFile(path);
    writeFileSync(path, `${slip}# someone else\n`);
    await expect(replace(path, read, mended)).rejects.toThrow('changed by someone else');
    expect(readFileSync(path, 'utf8')).toBe(`${slip}# someone else\n`);
    expect(readdirSync(cwd)).toEqual([name]);
  });

  test('what is not UTF-8', () => {
    const bytes = Buffer.from('plan: T\ntite: Türe\n', 'latin1');
    const cwd = folderWith({ [name]: bytes, 'c.repair-plan.yaml': slip });
    const ran = plugward(cwd, ['fix']);
    expect(ran.code).toBe(2);
    expect(readFileSync(join(cwd, name)).equals(bytes)).toBe(true);
    expect(readFileSync(join(cwd, 'c.repair-plan.yaml'), 'utf8')).toBe(mended);
  });
});

describe('many files', () => {
  const list =
    'connector-list: kestrel\nconnectors:\n  - { id: lamp, clas: low-voltage, zone: quarter-left }\n';
  const plan = (number: number): string =>
    slip.replace('T-2', `T-${number}`).replace('operations', 'uses: [./z.connector-list.yaml]\noperations');
  const names = Array.from({ length: 210 }, (_, i) => `p${i}.repair-plan.yaml`);
  const folder = (): string =>
    folderWith({
      ...Object.fromEntries(names.map((one, i) => [one, plan(i)])),
      'z.connector-list.yaml': list,
    });

  test('are told in the same order, whatever number of threads there is; shared files first', () => {
    const cwd = folder();
    const alone = plugward(cwd, ['fix', '--diff', '--jobs', '1']);
    expect(plugward(cwd, ['fix', '--diff', '--jobs', '3'])).toEqual(alone);
    const told = [...alone.out.matchAll(/^--- a\/(.*?)\t?$/gm)].map(([, one]) => one);
    expect(told).toEqual(['z.connector-list.yaml', ...names.toSorted()]);
    expect(alone).toMatchObject({ code: 1, err: expect.stringMatching(/^211 findings in 211 files/) });
  });

  test('are all written, and there is nothing left to do then', () => {
    const cwd = folder();
    expect(plugward(cwd, ['fix', '--jobs', '2'])).toMatchObject({ code: 0, err: '' });
    for (const [i, one] of names.entries())
      expect(readFileSync(join(cwd, one), 'utf8')).toBe(plan(i).replace('tite', 'title'));
    expect(readFileSync(join(cwd, 'z.connector-list.yaml'), 'utf8')).toBe(list.replace('clas:', 'class:'));
    expect(plugward(cwd, ['fix']).out).toBe('Nothing to fix safely in 211 files.\n');
  });

  test('a plan is fixed against the shared file as it is now', () => {
    const cwd = folderWith({
      'a.repair-plan.yaml': `plan: T-1\n${vehicle}uses: [./z.rate-sheet.yaml]\noperations:\n  - { id: op10, do: seal, zone: cabin, using: wax }\n`,
      'z.rate-sheet.yaml': 'rate-sheet: shop\ncurency: EUR\nrates:\n  - { id: body, per-hour: 96 }\n',
    });
    const both = plugward(cwd, ['fix']);
    expect(both.out).toContain('z.rate-sheet.yaml: 1 fixed');
    expect(plugward(cwd, ['fix', '--diff'])).toMatchObject({ code: 0, out: '' });
  });
});
