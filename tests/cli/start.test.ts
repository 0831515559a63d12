import { spawnSync } from 'node:child_process';
import { copyFileSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { beforeEach, expect, test } from 'vitest';
import { folderWith } from './run.ts';

/** The program starts from the code that an earlier run has kept beside it, and never from that of another program. */

let folder: string;
let dist: string;
beforeEach(() => {
  folder = folderWith({
    'a.repair-plan.yaml': 'plan: A-1\noperations:\n  - { id: op10, do: no-such-task }\n',
    'dist/x': '',
  });
  dist = path.join(folder, 'dist');
  for (const name of ['cli.js', 'plugward.js']) copyFileSync(path.join('dist', name), path.join(dist, name));
});

function run(...args: readonly string[]): string {
  const { stdout, stderr, status } = spawnSync(
    process.execPath,
    [path.join(dist, 'cli.js'), ...args, 'a.repair-plan.yaml'],
    { cwd: folder, encoding: 'utf8', env: { ...process.env, XDG_CACHE_HOME: path.join(folder, 'kept') } },
  );
  expect([status, stderr]).toEqual([1, '']);
  return stdout;
}

const kept = (): string[] =>
  readdirSync(dist).filter((name) => !['cli.js', 'plugward.js', 'x'].includes(name));
const code = `plugward.js.${process.version}-${process.arch}`;

test('the first check keeps it, and the next one tells the same', () => {
  const first = run('check');
  expect(kept()).toEqual([code]);
  const before = readFileSync(path.join(dist, code));
  expect(run('check')).toBe(first);
  expect(readFileSync(path.join(dist, code)).equals(before)).toBe(true);
});

test('what a check of much text keeps is taken by the next check', () => {
  const plan = path.join(folder, 'a.repair-plan.yaml');
  writeFileSync(plan, `${readFileSync(plan, 'utf8')}${'# more text\n'.repeat(30_000)}`);
  run('check');
  const { mtimeMs } = statSync(path.join(dist, code));
  run('check');
  // What V8 had refused would have been made anew.
  expect(statSync(path.join(dist, code)).mtimeMs).toBe(mtimeMs);
});

test('--no-cache keeps none', () => {
  run('check', '--no-cache');
  expect(kept()).toEqual([]);
});

test('a program that changes nothing but a word of the same length is not run from the old code', () => {
  expect(run('check', '--no-cache')).toContain('and without it cannot');
  run('check');
  const file = path.join(dist, 'plugward.js');
  writeFileSync(
    file,
    readFileSync(file, 'latin1').replaceAll('and without it cannot', 'and without it CANNOT'),
  );
  expect(run('check', '--no-cache')).toContain('and without it CANNOT');
  // Its own code takes the place of that.
  run('check');
  expect(run('check', '--no-cache')).toContain('and without it CANNOT');
});

test.each([
  ['garbage', (bytes: Buffer) => bytes.fill(7)],
  ['half a file', (bytes: Buffer) => bytes.subarray(0, bytes.length >> 1)],
  ['nothing', () => Buffer.alloc(0)],
])('%s in its place is not used', (_, torn) => {
  const first = run('check');
  writeFileSync(path.join(dist, code), torn(readFileSync(path.join(dist, code))));
  expect(run('check', '--no-cache')).toBe(first);
});
