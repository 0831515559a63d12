import { readdirSync, readFileSync, symlinkSync } from 'node:fs';
import path from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { samples } from '../support/files.ts';
import { lacks } from '../support/programs.ts';
import { folderWith, plugward, removeFolders } from './run.ts';
import type { Ran } from './run.ts';

afterAll(removeFolders);

interface Failure {
  readonly call: 'realpath' | 'rename' | 'readdir' | 'listing';
  readonly code?: string;
  readonly times?: number;
  readonly of?: string;
}

const preload = path.resolve(import.meta.dirname, '../support/failing-disk.cjs');
const failing = (cwd: string, failures: readonly Failure[], ...args: readonly string[]): Ran =>
  plugward(cwd, args, {
    env: { NODE_OPTIONS: `--require ${preload}`, PLUGWARD_FAILS: JSON.stringify(failures) },
  });

const all = ['check', '.', '--no-cache', '--jobs', '1', '--today', '2027-02-05', '--format', 'json'];
const name = 'a.repair-plan.yaml';
const slip = 'plan: T-1\nvehicle: { description: Kestrel (invented), propulsion: hybrid }\noperatons: []\n';

// As on some virtual and network drives.
test.each(['EISDIR', 'EINVAL', 'EPERM', 'UNKNOWN', 'EIO'])(
  "the system's realpath fails with %s: everything is found all the same",
  (code) => {
    const cwd = folderWith({ ...samples(), [`sub/${name}`]: slip });
    const failures: Failure[] = [{ call: 'realpath', code }];
    expect(failing(cwd, failures, ...all)).toEqual(plugward(cwd, all));
    expect(failing(cwd, failures, 'fix', 'sub')).toMatchObject({ code: 0, err: '' });
    expect(readFileSync(path.join(cwd, 'sub', name), 'utf8')).toBe(slip.replace('operatons', 'operations'));
  },
);

describe('rename fails', () => {
  test.each<[string, Failure, string | undefined]>([
    ['three times, as while a scanner looks', { call: 'rename', code: 'EBUSY', times: 3 }, undefined],
    ['for ever', { call: 'rename', code: 'EBUSY' }, 'another program has it open; close it there'],
    ['for want of permission', { call: 'rename', code: 'EPERM' }, 'you have no permission'],
    ['on a full disk', { call: 'rename', code: 'ENOSPC' }, 'the disk is full'],
    ['on a disk that breaks', { call: 'rename', code: 'EIO' }, 'the disk fails'],
  ])('%s: the plan is mended or as it was, and nothing is left beside it', (_, failure, words) => {
    const cwd = folderWith({ [name]: slip });
    const ran = failing(cwd, [failure], 'fix');
    expect(ran.code).toBe(words === undefined ? 0 : 2);
    if (words !== undefined) expect(ran.err).toContain(`${name} was not changed: ${words}`);
    expect(ran.err).not.toContain('please report');
    expect(readFileSync(path.join(cwd, name), 'utf8').includes('operatons')).toBe(words !== undefined);
    expect(readdirSync(cwd)).toEqual([name]);
  });

  test('under a print: the earlier one stays', () => {
    const cwd = folderWith({ [name]: slip });
    expect(plugward(cwd, ['report', 'job-card', name, '-o', 'card.html']).code).toBe(0);
    const before = readFileSync(path.join(cwd, 'card.html'), 'utf8');
    const failures: Failure[] = [{ call: 'rename', code: 'EBUSY' }];
    const ran = failing(cwd, failures, 'report', 'job-card', name, '-o', 'card.html', '--language', 'es');
    expect([ran.code, ran.err]).toEqual([2, expect.stringContaining('card.html')]);
    expect(readFileSync(path.join(cwd, 'card.html'), 'utf8')).toBe(before);
    expect(readdirSync(cwd).sort()).toEqual([name, 'card.html']);
  });
});

describe('a folder cannot be listed', () => {
  test.each([
    ['EACCES', 'you have no permission to open it'],
    ['EIO', 'the disk fails'],
    ['EMFILE', 'too many files are open'],
  ])('%s is told, and the rest is checked', (code, words) => {
    const cwd = folderWith({ [name]: slip, [`closed/${name}`]: slip });
    const ran = failing(cwd, [{ call: 'readdir', code, of: 'closed' }], 'check', '--no-cache');
    expect([ran.code, ran.err]).toEqual([2, `plugward: closed was not checked: ${words}.\n`]);
    expect(ran.out).toContain('key-unknown');
  });
});

test.skipIf(lacks('links'))(
  'a listing that calls everything a link: files and folders are looked at, links not followed in circles',
  () => {
    const cwd = folderWith({ ...samples(), [`sub/${name}`]: slip });
    symlinkSync('..', path.join(cwd, 'sub/loop'));
    const there = failing(cwd, [{ call: 'listing' }], ...all);
    expect(there).toEqual(plugward(cwd, all));
    expect(there.out).toContain('sub/a.repair-plan.yaml');
  },
);
