import { spawnSync } from 'node:child_process';
import { rmSync, writeFileSync } from 'node:fs';
import { devNull } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { folderWith, plugward, removeFolders } from './run.ts';

afterAll(removeFolders);

const plan = `plan: 1
vehicle: { description: Kestrel (invented), propulsion: hybrid }
operations:
  - { id: op10, do: no-such-task }
`;
const sheet = (exclude: string): string =>
  `rate-sheet: s\ncurrency: EUR\nplugward: { exclude: ${exclude} }\n`;
const files = (names: readonly string[]): Record<string, string> =>
  Object.fromEntries(names.map((name) => [`${name}.repair-plan.yaml`, plan]));

const git = (cwd: string, ...args: string[]): string =>
  spawnSync('git', args, {
    cwd,
    env: { ...process.env, GIT_CONFIG_GLOBAL: devNull, GIT_CONFIG_NOSYSTEM: '1' },
  }).stdout.toString();

/** The plans that a check of the folder looks at, and what it says beside the report. */
function checked(root: string, ...paths: string[]): { names: string[]; code: number | null; err: string } {
  const { out, err, code } = plugward(root, ['check', ...paths, '--format', 'json', '--language', 'en']);
  // A bad call alone says nothing on the standard output.
  if (out === '' && code !== 2) throw new Error(`no report, code ${code}: ${err}`);
  const { findings } = (out === '' ? { findings: [] } : JSON.parse(out)) as { findings: { file: string }[] };
  return {
    names: [...new Set(findings.map(({ file }) => file.replace('.repair-plan.yaml', '')))].sort(),
    code,
    err,
  };
}

test('a .gitignore leaves out what git leaves out', () => {
  const names = [
    'a',
    'draft-1',
    'old/a',
    'old/kept',
    'deep/old/a',
    'deep/x',
    'deep/draft-2',
    'deep/own/a',
    'deep/own/b',
    'only-here',
    'deep/only-here',
    'deep/[odd] name',
    'Old/a',
    'locally',
    'inner/draft-3',
  ];
  const root = folderWith({
    ...files(names),
    '.gitignore': '# a remark\n\nold/*\n!old/kept*\ndraft-*\n/only-here.*\n**/own/a.*\n\\[odd*\ntrailing \n',
    'deep/.gitignore': '!draft-2*\nx.*\n',
  });
  git(root, 'init', '-q');
  writeFileSync(join(root, '.git/info/exclude'), 'locally*\n');
  const listed = git(root, 'ls-files', '-z', '--others', '--exclude-standard')
    .split('\0')
    .filter((name) => name.endsWith('.repair-plan.yaml'))
    .map((name) => name.replace('.repair-plan.yaml', ''));
  expect(listed.length).toBeGreaterThan(4);
  expect(listed.length).toBeLessThan(names.length - 4);
  const found = checked(root);
  expect(found.names).toEqual(listed.sort());
  expect(found.err).toContain('left out by `.gitignore`, or by `exclude` of a rate sheet: ');
  expect(found.err).toMatch(/draft-1\.repair-plan\.yaml.* and \d more\./);
  // From a folder below, the rules above it hold as well.
  expect(checked(join(root, 'deep')).names).toEqual(
    listed.filter((name) => name.startsWith('deep/')).map((name) => name.slice('deep/'.length)),
  );
  // Without a repository the same files are files like any other.
  rmSync(join(root, '.git'), { recursive: true });
  expect(checked(root)).toMatchObject({ names: [...names].sort(), err: '' });
});

test('a file or folder that is named is checked, whatever leaves it out', () => {
  const root = folderWith({ ...files(['old/a', 'b']), '.gitignore': 'old/\n' });
  git(root, 'init', '-q');
  expect(checked(root).names).toEqual(['b']);
  expect(checked(root, 'old/a.repair-plan.yaml').names).toEqual(['old/a']);
  expect(checked(root, 'old').names).toEqual(['old/a']);
});

test('a repository inside of another one has rules of its own', () => {
  const root = folderWith({ ...files(['a', 'inner/a', 'inner/b']), '.gitignore': 'a.*\n' });
  git(root, 'init', '-q');
  git(join(root, 'inner'), 'init', '-q');
  expect(checked(root).names).toEqual(['inner/a', 'inner/b']);
});

test('a rate sheet leaves out folders and files beside and below it, with or without a repository', () => {
  const root = folderWith({
    ...files(['a', 'archive/a', 'shop/a', 'shop/b', 'shop/archive/a', 'other/b']),
    's.rate-sheet.yaml': sheet('[archive/]'),
    'shop/t.rate-sheet.yaml': sheet("['b.*']"),
  });
  const found = checked(root);
  expect(found.names.filter((name) => !name.includes('sheet'))).toEqual(['a', 'other/b', 'shop/a']);
  expect(found.err).toContain('archive, shop/archive and shop/b.repair-plan.yaml');
});

test('what leaves everything out makes no check look clean', () => {
  const root = folderWith({ ...files(['a']), 's.rate-sheet.yaml': sheet("['*']") });
  const { code, err } = checked(root);
  expect(code).toBe(2);
  expect(err).toContain('no plan, procedure, list or sheet is in this folder');
});

test('a file that is left out is read all the same where another one uses it', () => {
  const root = folderWith({
    'a.repair-plan.yaml': `${plan}uses: [./lists/k.connector-list.yaml]\n`,
    'lists/k.connector-list.yaml': 'connector-list: k\nconnectors: []\n',
    's.rate-sheet.yaml': sheet('[lists/]'),
  });
  const { out } = plugward(root, ['check', '--format', 'json', '--language', 'en']);
  expect(out).not.toContain('file-missing');
  expect(out).not.toContain('k.connector-list.yaml');
});
