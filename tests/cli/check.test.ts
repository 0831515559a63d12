import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { closeSync, openSync, readdirSync, readFileSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, describe, expect, test } from 'vitest';
import { URI } from 'vscode-uri';
import { check } from '../../server/src/features/check.ts';
import { findingIds } from '../../server/src/findings/registry.ts';
import type { JsonReport } from '../../server/src/report/listing/json.ts';
import { kindOf } from '../../server/src/document/kind.ts';
import { Workspace } from '../../server/src/workspace/workspace.ts';
import { lacks } from '../support/programs.ts';
import { cli, folderWith, plugward, removeFolders } from './run.ts';

afterAll(removeFolders);

const vehicle = 'vehicle: { description: Kestrel estate (invented), propulsion: hybrid }\n';
const clean = `plan: T-1\n${vehicle}operations: []\n`;
/** One finding, `key-unknown`, at line 2, column 1. */
const slip = `plan: T-2\ntite: A repair\n${vehicle}operations: []\n`;

/** One finding, `unused-id`, which may be lowered without a word. */
const idle = `plan: T-2\n${vehicle}connectors:\n  - { id: lamp, class: low-voltage, zone: roof }\noperations: []\n`;

function json(cwd: string, args: readonly string[], input?: string | Uint8Array): JsonReport {
  return JSON.parse(
    plugward(cwd, ['check', '--format', 'json', ...args], { input: input ?? '' }).out,
  ) as JsonReport;
}

describe('exit codes', () => {
  const cwd = folderWith({ 'a.repair-plan.yaml': clean, 'b.repair-plan.yaml': idle });

  test.each<[code: number, why: string, path: string, severity: string, ...more: string[]]>([
    [0, 'nothing found', 'a.repair-plan.yaml', ''],
    [1, 'an error', '.', 'unused-id=error'],
    [1, 'a warning, by default', '.', 'unused-id=warning'],
    [0, 'less than --fail-on', '.', 'unused-id=information'],
    [0, 'less than --fail-on', '.', 'unused-id=warning', '--fail-on', 'error'],
    [1, 'as much as --fail-on', '.', 'unused-id=information', '--fail-on', 'information'],
    [0, 'as many warnings as may be', '.', 'unused-id=warning', '--max-warnings', '1'],
    [1, 'a warning too many', '.', 'unused-id=warning', '--max-warnings', '0', '--fail-on', 'error'],
    [1, 'an error among few warnings', '.', 'unused-id=error', '--max-warnings', '9'],
    [0, '--exit-zero', '.', 'unused-id=error', '--exit-zero'],
    [0, 'a finding switched off', '.', 'unused-id=off'],
    [2, 'no such file', 'c.repair-plan.yaml', ''],
    [2, 'no such file, whatever is found', 'c.repair-plan.yaml', '', '--exit-zero'],
    [2, 'no such option', '.', '', '--fromat', 'json'],
    [2, 'no such format', '.', '', '--format', 'xml'],
    [2, 'no value', '.', '', '--format'],
    [2, 'a value too many', '.', '', '--quiet=yes'],
    [2, 'no such day', '.', '', '--today', '2027-02-30'],
    [2, 'no number', '.', '', '--max-warnings', 'few'],
    [2, 'no such finding', '.', 'key-unknwon=off'],
    [2, 'a name for a text that is not there', '.', '', '--stdin-filename', 'x.repair-plan.yaml'],
  ])('%i for %s: %s %s %s', (code, _why, path, severity, ...more) => {
    const ran = plugward(cwd, ['check', path, ...(severity ? ['--severity', severity] : []), ...more]);
    expect({ code: ran.code, ...(code === 2 ? {} : { err: ran.err }) }).toEqual({
      code,
      ...(code === 2 ? {} : { err: '' }),
    });
    if (code === 2) expect(ran.err).toMatch(/^plugward: .+[.?]\n$/);
  });

  test('usage errors suggest what was likely meant', () => {
    expect(plugward(cwd, ['check', '--fromat', 'json']).err).toContain('Did you mean --format?');
    expect(plugward(cwd, ['chek']).err).toContain('Did you mean check?');
    expect(plugward(cwd, ['check', '--severity', 'key-unknwon=off']).err).toContain(
      'Did you mean key-unknown?',
    );
  });

  test('a usage error prints no report', () => {
    expect(plugward(cwd, ['check', '--format', 'xml', '.']).out).toBe('');
  });
});

describe('which files are read', () => {
  const names = (report: JsonReport): string[] => report.findings.map(({ file }) => file);

  test('folders, files and patterns, each file once; not node_modules, not dot-folders', () => {
    const cwd = folderWith({
      'plans/a.repair-plan.yaml': slip,
      'plans/deep/b.repair-plan.yml': slip,
      'plans/notes.yaml': 'tite: no document of ours\n',
      'plans/node_modules/c.repair-plan.yaml': slip,
      'plans/.old/d.repair-plan.yaml': slip,
      'plans/with [odd] #name.repair-plan.yaml': slip,
    });
    const all = [
      'plans/a.repair-plan.yaml',
      'plans/deep/b.repair-plan.yml',
      'plans/with [odd] #name.repair-plan.yaml',
    ];
    expect(names(json(cwd, []))).toEqual(all);
    expect(names(json(cwd, ['plans', 'plans/a.repair-plan.yaml', '.']))).toEqual(all);
    expect(names(json(cwd, ['plans/**/*.repair-plan.{yml,yaml}']))).toEqual(all);
    expect(names(json(cwd, ['plans/*/*']))).toEqual([all[1]]);
    expect(names(json(cwd, [all[2]!]))).toEqual([all[2]]);
    expect(names(json(join(cwd, 'plans/deep'), ['..']))).toContain('../a.repair-plan.yaml');
    // A folder that is named is read, whatever its name.
    expect(names(json(cwd, ['plans/.old']))).toEqual(['plans/.old/d.repair-plan.yaml']);
    expect(json(cwd, ['plans/notes.yaml']).unread[0]!.reason).toMatch(/no repair plan/);
    // A check that checked nothing is never green.
    expect(plugward(folderWith({}), ['check']).code).toBe(2);
    expect(plugward(cwd, ['check', 'plans/*.rate-sheet.yaml']).code).toBe(2);
  });

  test.skipIf(lacks('links'))('unreadable files are named with the reason; the others are checked', () => {
    const cwd = folderWith({
      'a.repair-plan.yaml': slip,
      'latin.repair-plan.yaml': Buffer.from('plan: Türe\n', 'latin1'),
      'wide.repair-plan.yaml': Buffer.from('\ufeffplan: T\n', 'utf16le'),
      'folder.repair-plan.yaml/x.txt': '',
    });
    symlinkSync('nowhere', join(cwd, 'dangling.repair-plan.yaml'));
    symlinkSync('circle.repair-plan.yaml', join(cwd, 'circle.repair-plan.yaml'));
    const given = ['a', 'circle', 'dangling', 'gone', 'latin', 'wide'].map(
      (name) => `${name}.repair-plan.yaml`,
    );
    const ran = plugward(cwd, ['check', '--quiet', '--severity', 'key-unknown=error', ...given]);
    expect(ran.code).toBe(2);
    expect(ran.out).toContain('error  2:1  key-unknown');
    expect(ran.err.split('\n')).toEqual([
      'plugward: circle.repair-plan.yaml was not checked: its links form a loop.',
      'plugward: dangling.repair-plan.yaml was not checked: it is a link that leads nowhere.',
      'plugward: gone.repair-plan.yaml was not checked: there is no such file.',
      'plugward: latin.repair-plan.yaml was not checked: it is not UTF-8 text; save it as UTF-8.',
      'plugward: wide.repair-plan.yaml was not checked: it is written in UTF-16; save it as UTF-8.',
      '',
    ]);
    // In a folder, the same.
    expect(
      json(cwd, [])
        .unread.map(({ file }) => file)
        .sort(),
    ).toEqual([
      'circle.repair-plan.yaml',
      'dangling.repair-plan.yaml',
      'latin.repair-plan.yaml',
      'wide.repair-plan.yaml',
    ]);
  });

  test.skipIf(lacks('links'))(
    'links: those found in a folder must stay inside; named ones are followed; linked folders are skipped',
    () => {
      const cwd = folderWith({ 'shop/real/a.repair-plan.yaml': slip, 'elsewhere/b.repair-plan.yaml': slip });
      const shop = join(cwd, 'shop');
      symlinkSync('real/a.repair-plan.yaml', join(shop, 'same.repair-plan.yaml'));
      symlinkSync('../elsewhere/b.repair-plan.yaml', join(shop, 'out.repair-plan.yaml'));
      symlinkSync('../../elsewhere', join(shop, 'real/folder'));
      symlinkSync('..', join(shop, 'real/loop'));
      const met = json(shop, []);
      expect(names(met)).toEqual(['real/a.repair-plan.yaml']);
      expect(met.unread).toEqual([
        {
          file: 'out.repair-plan.yaml',
          reason: expect.stringContaining('leads out of the folder') as string,
        },
      ]);
      expect(names(json(shop, ['out.repair-plan.yaml']))).toEqual(['out.repair-plan.yaml']);
    },
  );

  test('standard input: by its name, by its first key, in place of the file of that name', () => {
    const cwd = folderWith({ 'a.repair-plan.yaml': clean, 'sub/x.txt': '' });
    expect(names(json(cwd, ['-'], slip))).toEqual(['standard input']);
    expect(
      names(json(cwd, ['-', 'a.repair-plan.yaml', '--stdin-filename', 'a.repair-plan.yaml'], slip)),
    ).toEqual(['a.repair-plan.yaml']);
    const sheet = json(cwd, ['-', '--stdin-filename', 'sub/x.rate-sheet.yaml'], slip);
    expect(names(sheet)).toContain('sub/x.rate-sheet.yaml');
    expect(plugward(cwd, ['check', '-'], { input: 'nothing: of ours\n' }).code).toBe(2);
    expect(plugward(cwd, ['check', '-'], { input: Buffer.from([0x70, 0xff]) }).err).toContain('not UTF-8');
  });

  test('what a plan uses is read from below the current folder and beside what was given, from nowhere else', () => {
    const uses = (path: string): string => clean.replace('operations', `uses: [${path}]\noperations`);
    const list = 'connector-list: Kestrel\nconnectors: []\n';
    const cwd = folderWith({
      'plans/inside.repair-plan.yaml': uses('../lists/k.connector-list.yaml'),
      'plans/outside.repair-plan.yaml': uses('../../secret/k.connector-list.yaml'),
      'lists/k.connector-list.yaml': list,
    });
    const missing = (where: string, args: string[]): string[] =>
      json(where, args)
        .findings.filter(({ finding }) => finding === 'file-missing')
        .map(({ file }) => file);
    expect(missing(cwd, ['plans'])).toEqual(['plans/outside.repair-plan.yaml']);
    // From inside `plans`, the list is neither below nor beside; given too, it is.
    expect(missing(join(cwd, 'plans'), ['inside.repair-plan.yaml'])).toEqual(['inside.repair-plan.yaml']);
    expect(missing(join(cwd, 'plans'), ['inside.repair-plan.yaml', '../lists'])).toEqual([]);

    // Photographs are looked for in the same places.
    const shown = folderWith({
      'secret.jpg': '',
      'shop/a.repair-plan.yaml': `${clean}evidence:\n${['./a.jpg', './b.jpg', '../secret.jpg']
        .map((photo) => `  - { for: op10, photo: ${photo} }\n`)
        .join('')}`,
      'shop/a.jpg': '',
    });
    const lost = json(join(shown, 'shop'), []).findings.filter(({ finding }) => finding === 'photo-missing');
    expect(lost.map(({ start }) => start.line)).toEqual([6, 7]);

    if (lacks('links')) return;
    // A link inside the folder is no way out of it.
    const other = folderWith({ 'k.connector-list.yaml': list });
    const linked = folderWith({ 'a.repair-plan.yaml': uses('k.connector-list.yaml') });
    symlinkSync(join(other, 'k.connector-list.yaml'), join(linked, 'k.connector-list.yaml'));
    expect(missing(linked, ['a.repair-plan.yaml'])).toEqual(['a.repair-plan.yaml']);
  });
});

describe('places', () => {
  test.each([
    ['LF', slip],
    ['CR LF', slip.replaceAll('\n', '\r\n')],
    ['a byte-order mark', `\ufeff${slip}`],
  ])('line and column with %s', (_, text) => {
    const cwd = folderWith({ 'b.repair-plan.yaml': text });
    expect(json(cwd, []).findings[0]).toMatchObject({
      start: { line: 2, column: 1 },
      end: { line: 2, column: 5 },
    });
  });

  test('columns count UTF-16 code units', () => {
    const cwd = folderWith({
      'b.repair-plan.yaml': `{ plan: "😀", tite: x, ${vehicle.trim()}, operations: [] }\n`,
    });
    // Counted by hand: two of the sixteen characters before `tite` are the emoji's.
    expect(json(cwd, []).findings[0]!.start).toMatchObject({ line: 1, column: 15 });
  });
});

describe('what is printed', () => {
  const cwd = folderWith({
    '.git/HEAD': '',
    'plans/b.repair-plan.yaml': slip,
    'plans/c.repair-plan.yaml': slip.replace('A repair', '"\u001b[31mred\u202e"'),
  });

  test('annotations and SARIF name files from the root of the repository, wherever the check runs', () => {
    const here = join(cwd, 'plans');
    const lines = plugward(here, ['check', '--format', 'annotations', 'b.repair-plan.yaml']).out;
    expect(lines).toMatch(
      /^::(error|warning) file=plans\/b\.repair-plan\.yaml,line=2,endLine=2,col=1,endColumn=5,title=key-unknown::/,
    );
    const { runs } = JSON.parse(plugward(here, ['check', '--format', 'sarif']).out);
    const [result] = runs[0].results;
    expect(result.locations[0].physicalLocation.artifactLocation).toEqual({
      uri: 'plans/b.repair-plan.yaml',
      uriBaseId: 'SRCROOT',
    });
    expect(runs[0].tool.driver.rules[result.ruleIndex].id).toBe('key-unknown');
    expect(runs[0].tool.driver.rules.map(({ id }: { id: string }) => id)).toEqual(findingIds);
  });

  test('no control character of a plan reaches the terminal; colour only when it may', () => {
    const args = ['check', 'plans/c.repair-plan.yaml', '--statistics'];
    const colour = /\u001b\[\d+m/g;
    expect(plugward(cwd, args).out).not.toMatch(colour);
    const coloured = plugward(cwd, args, { env: { FORCE_COLOR: '1', NO_COLOR: '' } }).out;
    expect(coloured).toMatch(colour);
    expect(coloured.replace(colour, '')).toBe(plugward(cwd, args).out);
    expect(coloured.replace(colour, '')).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u202e]/);
    expect(plugward(cwd, args, { env: { FORCE_COLOR: '1', NO_COLOR: '1' } }).out).not.toMatch(colour);
    expect(
      plugward(cwd, [...args, '--no-color'], { env: { FORCE_COLOR: '1', NO_COLOR: '' } }).out,
    ).not.toMatch(colour);
  });

  test('a reader that closes the pipe early is not an error', async () => {
    const big = folderWith({
      'a.repair-plan.yaml': `plan: T\n${vehicle}operations: []\n${Array.from({ length: 3000 }, (_, i) => `wrong${i}: x\n`).join('')}`,
    });
    const child = spawn(process.execPath, [cli, 'check', '--severity', 'key-unknown=error'], { cwd: big });
    let complaint = '';
    child.stderr.on('data', (data: Buffer) => (complaint += data.toString()));
    child.stdout.once('data', () => child.stdout.destroy());
    const [code] = (await once(child, 'exit')) as [number];
    expect({ code, complaint }).toEqual({ code: 1, complaint: '' });
  });

  test.skipIf(lacks('/dev/full'))('an output that cannot be written is an error', () => {
    const full = openSync('/dev/full', 'w');
    const { status, stderr } = spawnSync(process.execPath, [cli, 'check', '--exit-zero'], {
      cwd,
      stdio: ['ignore', full, 'pipe'],
    });
    closeSync(full);
    expect(status).toBe(2);
    expect(stderr.toString()).toContain('was not written: the disk is full');
  });
});

describe('many files, read by several threads', () => {
  const plan = (i: number): string =>
    `plan: T-${i}\nuses: [../shop.rate-sheet.yaml]\n${i % 3 === 0 ? 'tite: x\n' : ''}${vehicle}operations: []\n`;
  const folder = (name: string, from: number): [string, string | Uint8Array][] =>
    Array.from({ length: 75 }, (_, i) => [`${name}/${from + i}.repair-plan.yaml`, plan(from + i)]);
  const cwd = folderWith({
    ...Object.fromEntries([...folder('a', 100), ...folder('b', 200)]),
    'a/500.repair-plan.yaml': new Uint8Array([0x70, 0xff]),
    'b/600.repair-plan.yaml': 'plan: T-600\nuses: [./missing.rate-sheet.yaml, ./601.shop-procedure.yaml]\n',
    'b/601.shop-procedure.yaml': 'procedure: p\ntitle: P\nsteps: []\n',
    'shop.rate-sheet.yaml':
      'rate-sheet: shop\ncurrency: EUR\nrates: []\nseverities: { key-unknown: error }\n',
  });
  const halves = ['a', 'b'].map((half) => json(cwd, [half]));

  test('are listed in the requested order', () => {
    const all = json(cwd, ['a', 'b']);
    expect(all.findings).toEqual(halves.flatMap(({ findings }) => findings));
    expect(all.findings.filter(({ message }) => message.includes('`tite`'))).toHaveLength(50);
    expect(
      all.findings.some(({ file, finding }) => file.startsWith('b/600') && finding === 'file-missing'),
    ).toBe(true);
    expect(all.summary).toMatchObject({ files: 152, unread: 1 });
    expect(all.unread.map(({ file }) => file)).toEqual(['a/500.repair-plan.yaml']);
  });

  test.each(['human', 'annotations', 'sarif'])('as %s too', (format) => {
    const run = (path: string): string => plugward(cwd, ['check', '--format', format, path]).out;
    // What stands around the findings (totals, rules) is that of the run.
    const lines = (text: string): string[] =>
      text.split('\n').filter((line) => /key-unknown|file-missing|601\.|uri"/.test(line));
    expect(new Set(lines(run('.')))).toEqual(
      new Set(['a', 'b', 'shop.rate-sheet.yaml'].flatMap((one) => lines(run(one)))),
    );
  });

  test.skipIf(lacks('one Node for all')).each([
    ['throws', 'Error: out of memory'],
    ['ends', 'it stopped'],
  ])('and also when a thread %s in the middle, which is reported', (way, why) => {
    const preload = fileURLToPath(new URL('dying-thread.cjs', import.meta.url));
    const env = { NODE_OPTIONS: `--require ${preload}`, PLUGWARD_THREAD: way };
    const args = ['check', '--no-cache', '--format', 'json', 'a', 'b'];
    const whole = plugward(cwd, args);
    const { code, out, err } = plugward(cwd, args, { env });
    expect({ code, out }).toEqual({ code: whole.code, out: whole.out });
    expect(err).toBe(
      `plugward: a checking thread failed (${why}); its 8 files were checked again.\n${whole.err}`,
    );
  });
});

describe('help', () => {
  const cwd = folderWith({});
  test('of the whole and of each command', () => {
    for (const args of [['--help'], ['-h'], ['help']]) {
      expect(plugward(cwd, args)).toMatchObject({
        code: 0,
        err: '',
        out: expect.stringContaining('Commands:') as string,
      });
    }
    for (const name of ['check', 'fix', 'explain']) {
      const help = plugward(cwd, ['help', name]);
      expect(help).toMatchObject({
        code: 0,
        out: expect.stringContaining(`Usage: plugward ${name}`) as string,
      });
      expect(plugward(cwd, [name, '--help']).out).toBe(help.out);
      for (const line of help.out.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
    }
    for (const args of [
      ['help', '--language', 'es'],
      ['--help', '--language=es'],
      ['--language', 'es', 'help'],
    ]) {
      expect(plugward(cwd, args).out).toContain('Uso: plugward ORDEN [OPCIONES]');
    }
    expect(plugward(cwd, ['help', '--language', 'es', 'check']).out).toContain(
      'Uso: plugward check [OPCIONES] [RUTAS…]',
    );
    expect(plugward(cwd, [])).toMatchObject({ code: 2, out: '' });
    const { version } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8')) as {
      version: string;
    };
    // The commit stands in brackets where the build knows it.
    expect(plugward(cwd, ['--version']).out).toMatch(
      new RegExp(`^plugward ${version.replaceAll('.', '\\.')}( \\([0-9a-f]{7,40}[^)]*\\))?\n$`),
    );
  });
});

describe('explain', () => {
  const cwd = folderWith({});
  test('every finding has its page and its line in the list', () => {
    const list = plugward(cwd, ['explain']).out.trimEnd().split('\n');
    expect(list.map((line) => line.split(' ')[0])).toEqual(findingIds);
    for (const line of list) expect(line).toMatch(/^\S+ {2,}\S/);
    const page = plugward(cwd, ['explain', findingIds[0]!]);
    expect(page.code).toBe(0);
    expect(page.out).toContain(findingIds[0]);
  });

  test('an unknown id', () => {
    expect(plugward(cwd, ['explain', 'bare-conector'])).toMatchObject({
      code: 2,
      out: '',
      err: expect.stringContaining('Did you mean bare-connector?') as string,
    });
  });
});

// The command line and the language server call one function; here is the proof for the command line.
describe('every sample: the findings are those of the checker', () => {
  const samples = fileURLToPath(new URL('../../samples', import.meta.url));
  const files = readdirSync(samples, { recursive: true, encoding: 'utf8' })
    .filter((name) => kindOf(name))
    .sort();

  test('all of them', () => {
    expect(files.length).toBeGreaterThan(0);
    const workspace = new Workspace();
    const uriOf = (name: string): string => URI.file(join(samples, name)).toString();
    for (const name of files) workspace.set(uriOf(name), readFileSync(join(samples, name), 'utf8'));
    for (const uri of workspace.missingFiles()) workspace.markAbsent(uri);
    const expected = files.flatMap((name) =>
      check(workspace, uriOf(name), { today: '2027-02-20' }).map(({ finding, severity, message, range }) => ({
        finding,
        severity,
        message,
        uri: range.uri,
        start: range.start,
        end: range.end,
      })),
    );
    const report = json(samples, ['--today', '2027-02-20']);
    const found = report.findings.map(({ finding, severity, message, file, start, end }) => ({
      finding,
      severity,
      message,
      uri: uriOf(file),
      start: start.offset,
      end: end.offset,
    }));
    const order = (a: object, b: object): number => (JSON.stringify(a) < JSON.stringify(b) ? -1 : 1);
    expect(found.sort(order)).toEqual(expected.sort(order));
  });
});

test('findings and the summary are in the language asked for', () => {
  const cwd = folderWith({ 'b.repair-plan.yaml': slip });
  const spanish = plugward(cwd, ['check', '--language', 'es']).out;
  expect(spanish).toContain('`tite` no es una clave aquí y se ignora. ¿Quería decir `title`?');
  expect(spanish).toContain('Comprobado: 1 archivo.');
  expect(plugward(cwd, ['check', '--language', 'en']).out).toContain('is not a key here and is ignored');
});
