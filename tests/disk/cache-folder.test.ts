import {
  chmodSync,
  chownSync,
  lstatSync,
  mkdirSync,
  mkdtempSync,
  realpathSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { cacheFolder, trustedCacheFolder } from '../../server/src/disk/cache-folder.ts';
import { lacks } from '../support/programs.ts';

// XDG Base Directory Specification 0.8: `$XDG_CACHE_HOME`, or `$HOME/.cache` where it is unset or empty; a relative path
// is invalid and ignored.
describe('the folder for caches', () => {
  test.each<[NodeJS.Platform, env: NodeJS.ProcessEnv, home: string, folder: string | undefined]>([
    ['linux', {}, '/home/a', '/home/a/.cache/plugward'],
    ['linux', { XDG_CACHE_HOME: '/var/c' }, '/home/a', '/var/c/plugward'],
    ['linux', { XDG_CACHE_HOME: '' }, '/home/a', '/home/a/.cache/plugward'],
    ['linux', { XDG_CACHE_HOME: 'c' }, '/home/a', '/home/a/.cache/plugward'],
    ['linux', { XDG_CACHE_HOME: './c' }, '/home/a', '/home/a/.cache/plugward'],
    ['linux', { LOCALAPPDATA: '/x' }, '/home/a', '/home/a/.cache/plugward'],
    ['linux', {}, '', undefined],
    ['darwin', {}, '/Users/a', '/Users/a/Library/Caches/plugward'],
    ['darwin', { XDG_CACHE_HOME: '/var/c' }, '/Users/a', '/var/c/plugward'],
    [
      'win32',
      { LOCALAPPDATA: 'C:\\Users\\a\\AppData\\Local' },
      'C:\\Users\\a',
      'C:\\Users\\a\\AppData\\Local\\plugward',
    ],
    ['win32', { XDG_CACHE_HOME: 'D:\\c', LOCALAPPDATA: 'C:\\l' }, 'C:\\Users\\a', 'D:\\c\\plugward'],
    ['win32', {}, 'C:\\Users\\a', undefined],
  ])('on %s with %o and the home %s is %s', (platform, env, home, folder) => {
    expect(cacheFolder({ platform, env, home })).toBe(folder);
  });
});

describe.skipIf(lacks('links', 'modes of files'))('a folder for caches is believed', () => {
  const root = realpathSync(mkdtempSync(path.join(tmpdir(), 'plugward-')));
  afterAll(() => rmSync(root, { recursive: true }));
  let count = 0;
  /** A place for a cache beside a folder of plans. */
  const place = (): { folder: string; plans: string } => {
    const base = path.join(root, String(++count));
    mkdirSync(path.join(base, 'plans'), { recursive: true });
    return { folder: path.join(base, 'cache'), plans: path.join(base, 'plans') };
  };

  test('if it is new, and is closed to others then', () => {
    const { folder, plans } = place();
    expect(trustedCacheFolder(folder, [plans])).toBe(folder);
    expect(lstatSync(folder).mode & 0o777).toBe(0o700);
    expect(trustedCacheFolder(folder, [plans])).toBe(folder);
  });

  test.each([
    [0o700, true],
    [0o755, true],
    [0o770, false],
    [0o757, false],
    [0o777, false],
    [0o1777, false],
  ])('with the mode %o: %s', (mode, isTrusted) => {
    const { folder, plans } = place();
    mkdirSync(folder);
    chmodSync(folder, mode);
    expect(trustedCacheFolder(folder, [plans])).toBe(isTrusted ? folder : undefined);
  });

  test.skipIf(lacks('a super-user'))('not if it belongs to another user', () => {
    const { folder, plans } = place();
    mkdirSync(folder, { mode: 0o700 });
    chownSync(folder, 12_345, 12_345);
    expect(trustedCacheFolder(folder, [plans])).toBeUndefined();
  });

  test('not if it is a link, a file, or below a file', () => {
    const { folder, plans } = place();
    symlinkSync(plans, folder);
    expect(trustedCacheFolder(folder, [])).toBeUndefined();
    const file = path.join(plans, 'file');
    writeFileSync(file, '');
    expect(trustedCacheFolder(file, [])).toBeUndefined();
    expect(trustedCacheFolder(path.join(file, 'cache'), [])).toBeUndefined();
  });

  test('not inside of what is looked at, by whatever way it is reached', () => {
    const { folder, plans } = place();
    expect(trustedCacheFolder(path.join(plans, 'cache'), [plans])).toBeUndefined();
    expect(trustedCacheFolder(folder, [plans, path.dirname(folder)])).toBeUndefined();
    const link = path.join(root, 'link');
    symlinkSync(path.dirname(folder), link);
    expect(trustedCacheFolder(path.join(link, 'cache'), [path.dirname(folder)])).toBeUndefined();
    expect(trustedCacheFolder(folder, [link])).toBeUndefined();
    expect(trustedCacheFolder(folder, [plans])).toBe(folder);
  });
});
