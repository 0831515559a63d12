import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, rmSync, symlinkSync } from 'node:fs';
import { truncateSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterAll, describe, expect, test } from 'vitest';
import { nodeFiles, readingBy } from '../../server/src/lsp/node-files.ts';
import { cli, folderWith, plugward, removeFolders } from '../cli/run.ts';
import { lacks } from '../support/programs.ts';

afterAll(removeFolders);

const secret = 'rate-sheet: secret-of-another-folder\ncurrency: EUR\nrates: [{ id: secret, per-hour: 1 }]\n';
const name = 'x.rate-sheet.yaml';
const using = (file: string): string =>
  `plan: T-1\nvehicle: { description: Kestrel (invented), propulsion: hybrid }\nuses: [${JSON.stringify(file)}]\noperations: []\n`;

const unfit = lacks('links', 'pipes with names', '/dev/zero');

/** A shop's folder, one beside it that is nobody's business, and ways from the first into the second. */
function shopBesideSecret(): { shop: string; other: string } {
  const root = folderWith({ [`other/${name}`]: secret, [`shop/inside/${name}`]: secret });
  const [shop, other] = [path.join(root, 'shop'), path.join(root, 'other')];
  if (unfit) return { shop, other };
  symlinkSync(path.join(other, name), path.join(shop, `link-${name}`));
  symlinkSync('../other', path.join(shop, 'folder-link'));
  mkdirSync(path.join(shop, `folder.${name}`));
  symlinkSync('/dev/zero', path.join(shop, `zero-${name}`));
  symlinkSync('/dev/stdin', path.join(shop, `stdin-${name}`));
  execFileSync('mkfifo', [path.join(shop, `pipe-${name}`)]);
  writeFileSync(path.join(shop, `huge-${name}`), secret);
  // Four gigabytes that take no room on the disk.
  truncateSync(path.join(shop, `huge-${name}`), 4 * 1024 ** 3);
  return { shop, other };
}

/** What a plan could write to get at what it may not have. */
const ways: readonly (readonly [string, (other: string) => string])[] = [
  ['..', () => `../other/${name}`],
  ['.. behind a folder', () => `inside/../../other/${name}`],
  ['.. with backslashes', () => `..\\other\\${name}`],
  ['.. percent-encoded', () => `%2e%2e/other/${name}`],
  ['an absolute path', (other) => `${other}/${name}`],
  ['an address', (other) => pathToFileURL(`${other}/${name}`).href],
  ['a link to a file', () => `link-${name}`],
  ['a link to a folder', () => `folder-link/${name}`],
  ['a folder named like a file', () => `folder.${name}`],
  ['a device', () => `zero-${name}`],
  ['standard input', () => `stdin-${name}`],
  ['a pipe without a writer', () => `pipe-${name}`],
  ['a file of four gigabytes', () => `huge-${name}`],
];

describe.skipIf(unfit)('used files are read only from the allowed folders', () => {
  const { shop, other } = shopBesideSecret();

  test.each(ways)('not by %s (command line)', (_, way) => {
    const plan = path.join(shop, 'a.repair-plan.yaml');
    writeFileSync(plan, using(way(other)));
    const ran = spawnSync(process.execPath, [cli, 'check', 'a.repair-plan.yaml', '--format', 'json'], {
      cwd: shop,
      input: secret,
      timeout: 60_000,
    });
    expect(ran.signal).toBeNull();
    const { findings } = JSON.parse(ran.stdout.toString()) as {
      findings: { finding: string; file: string }[];
    };
    expect(findings).toContainEqual(
      expect.objectContaining({ finding: 'file-missing', file: 'a.repair-plan.yaml' }),
    );
    expect(ran.stdout.toString()).not.toContain('secret-of-another-folder');
  });

  test.each(ways)('not by %s (server)', async (_, way) => {
    const uri = new URL(way(other).replaceAll('\\', '/'), pathToFileURL(`${shop}/`)).href;
    expect(await nodeFiles.read(uri, [pathToFileURL(shop).href])).toBeUndefined();
  });

  test('but from inside it is', async () => {
    const inside = pathToFileURL(path.join(shop, 'inside', name)).href;
    expect(await nodeFiles.read(inside, [pathToFileURL(shop).href])).toMatchObject({ text: secret });
    writeFileSync(path.join(shop, 'b.repair-plan.yaml'), using(`inside/${name}`));
    expect(plugward(shop, ['check', 'b.repair-plan.yaml', '--format', 'json']).out).not.toContain(
      'file-missing',
    );
  });

  test('whether the disk answers at once or lets us wait, every file reads alike', async () => {
    let clock = 0;
    const [prompt, slow] = [readingBy(() => clock), readingBy(() => (clock += 6))];
    const named = ['a.repair-plan.yaml', name, `inside/${name}`, `huge-${name}`, `none-${name}`, 'inside'];
    for (const one of [...named, ...named]) {
      const uri = pathToFileURL(path.join(shop, one)).href;
      expect(await slow(uri, [pathToFileURL(shop).href]), one).toEqual(
        await prompt(uri, [pathToFileURL(shop).href]),
      );
    }
  });

  test('nor by a root that leads elsewhere after it was first looked at, and one that comes later is found', async () => {
    const root = folderWith({ [`old/${name}`]: 'old', [`new/${name}`]: 'new' });
    const linked = path.join(root, 'linked');
    const file = pathToFileURL(path.join(linked, name)).href;
    const roots = [pathToFileURL(linked).href];
    expect(await nodeFiles.read(file, roots)).toBeUndefined();
    symlinkSync('old', linked);
    expect(await nodeFiles.read(file, roots)).toMatchObject({ text: 'old' });
    rmSync(linked);
    symlinkSync('new', linked);
    expect(await nodeFiles.read(file, roots)).toBeUndefined();
    // Whoever is told that something has changed makes a new list.
    expect(await nodeFiles.read(file, [...roots])).toMatchObject({ text: 'new' });
  });

  test('and searching the folder follows no link and returns no device, folder or pipe', async () => {
    const found = await nodeFiles.list([pathToFileURL(shop).href], 1000);
    expect(found.map((uri) => path.basename(uri)).sort()).toEqual(
      ['a.repair-plan.yaml', 'b.repair-plan.yaml', `huge-${name}`, name].sort(),
    );
  });
});

describe.skipIf(unfit)('what is named on the command line', () => {
  const { shop } = shopBesideSecret();

  test.each([
    [`folder.${name}`, /no plan, procedure, list or sheet is in this folder/],
    [`zero-${name}`, /it is not a regular file/],
    [`pipe-${name}`, /it is not a regular file/],
    [`huge-${name}`, /it is too large/],
    ['/dev/zero', /it is not a regular file/],
  ])('%s is rejected with the reason', (given, reason) => {
    const ran = spawnSync(process.execPath, [cli, 'check', given], { cwd: shop, input: '', timeout: 60_000 });
    expect(ran.signal).toBeNull();
    expect([ran.status, ran.stderr.toString()]).toEqual([2, expect.stringMatching(reason)]);
  });

  test('a folder that contains all of them is still checked', () => {
    writeFileSync(path.join(shop, 'a.repair-plan.yaml'), using(`inside/${name}`));
    const ran = spawnSync(process.execPath, [cli, 'check', '.'], { cwd: shop, input: '', timeout: 60_000 });
    expect([ran.signal, ran.status]).toEqual([null, 2]);
    expect(ran.stdout.toString()).toContain('files checked');
    for (const one of ['zero', 'pipe', 'huge'])
      expect(ran.stderr.toString()).toContain(`${one}-${name} was not checked`);
  });

  test('a fix run killed at any moment leaves either the old text or the new one, complete', () => {
    const before = `plan: T-2\ntite: ${'x'.repeat(2_000_000)}\nvehicle: { description: Kestrel, propulsion: hybrid }\noperations: []\n`;
    const cwd = folderWith({ 'a.repair-plan.yaml': before });
    const file = path.join(cwd, 'a.repair-plan.yaml');
    for (const timeout of [80, 160, 240, 320, 400, 500, 700]) {
      spawnSync(process.execPath, [cli, 'fix', '.'], { cwd, timeout, killSignal: 'SIGKILL' });
      expect([before, before.replace('tite', 'title')].includes(readFileSync(file, 'utf8'))).toBe(true);
    }
    expect(existsSync(file)).toBe(true);
  });
});
