import {
  existsSync,
  mkdtempSync,
  readFileSync,
  readdirSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeEach, describe, expect, test } from 'vitest';
import { digest, Entries } from '../../server/src/disk/entries.ts';
import { lacks } from '../support/programs.ts';

const root = realpathSync(mkdtempSync(path.join(tmpdir(), 'plugward-')));
afterAll(() => rmSync(root, { recursive: true }));
let folder = '';
beforeEach(() => (folder = mkdtempSync(path.join(root, 'c-'))));

const key = digest('a plan');
const body = 'first line\nÄnderung → 2\n';
const place = (one: string): string => path.join(folder, one.slice(0, 2), one.slice(2));
const read = (one = key): string | undefined => new Entries(folder).get(one)?.toString();

test('a digest is the one that others compute', () => {
  // FIPS 180-4, example "abc".
  expect(digest('abc')).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad');
});

describe('an entry', () => {
  test('is read as it was written, by its own key, closed to others', () => {
    new Entries(folder).put(key, body);
    expect(read()).toBe(body);
    expect(read(digest('another plan'))).toBeUndefined();
    if (!lacks('modes of files')) expect(statSync(place(key)).mode & 0o777).toBe(0o600);
    expect(readdirSync(path.dirname(place(key)))).toHaveLength(1);
  });

  test('is written over', () => {
    const entries = new Entries(folder);
    entries.put(key, body);
    entries.put(key, '');
    expect(read()).toBe('');
  });

  test('is not there if any byte of it differs, or is missing', () => {
    new Entries(folder).put(key, body);
    const whole = readFileSync(place(key));
    for (let at = 0; at < whole.length; at++) {
      const damaged = Buffer.from(whole);
      damaged[at]! ^= 1;
      writeFileSync(place(key), damaged);
      expect(read(), `byte ${at}`).toBeUndefined();
      writeFileSync(place(key), whole.subarray(0, at));
      expect(read(), `${at} bytes`).toBeUndefined();
    }
    writeFileSync(place(key), Buffer.concat([whole, Buffer.from('x')]));
    expect(read()).toBeUndefined();
    writeFileSync(place(key), whole);
    expect(read()).toBe(body);
  });

  test('is not there under another key', () => {
    const entries = new Entries(folder);
    const other = digest('a plan with a fault');
    entries.put(key, 'clean');
    entries.put(other, 'one finding');
    renameSync(place(key), place(other));
    expect(read(other)).toBeUndefined();
  });

  test.skipIf(lacks('links'))('is not read through a link', () => {
    new Entries(folder).put(key, body);
    renameSync(place(key), path.join(folder, 'elsewhere'));
    symlinkSync(path.join(folder, 'elsewhere'), place(key));
    expect(read()).toBeUndefined();
  });

  test('that cannot be written is not kept, and nothing is said', () => {
    writeFileSync(path.join(folder, key.slice(0, 2)), 'a file where a folder should be');
    const entries = new Entries(folder);
    entries.put(key, body);
    expect(entries.get(key)).toBeUndefined();
    // As on a full disk: the rest is not tried.
    const other = digest('another');
    entries.put(other, body);
    expect(existsSync(place(other))).toBe(false);
  });
});

describe('what is too much or too old', () => {
  const day = 86_400_000;
  const now = Date.now();
  const put = (name: string, daysAgo: number, size: number): string => {
    const one = digest(name);
    new Entries(folder).put(one, 'x'.repeat(size));
    utimesSync(place(one), (now - daysAgo * day) / 1000, (now - daysAgo * day) / 1000);
    return one;
  };
  const left = (keys: readonly string[]): boolean[] => keys.map((one) => existsSync(place(one)));

  test('is dropped: what nobody has used for sixty days', () => {
    const keys = [put('a', 59.9, 10), put('b', 60.1, 10)];
    new Entries(folder).sweep(now);
    expect(left(keys)).toEqual([true, false]);
  });

  test('is dropped: the longest unused, to three quarters of the most', () => {
    const keys = [put('a', 4, 1000), put('b', 3, 1000), put('c', 2, 1000), put('d', 1, 1000)];
    // Each with its seal of 65 bytes.
    new Entries(folder).sweep(now, 4260);
    expect(left(keys)).toEqual([true, true, true, true]);
    rmSync(path.join(folder, 'swept'));
    new Entries(folder).sweep(now, 4259);
    expect(left(keys)).toEqual([false, false, true, true]);
  });

  test('is dropped: what a run left that was killed', () => {
    const one = put('a', 0, 10);
    for (const [name, hours] of [
      ['old', 2],
      ['new', 0],
    ] as const) {
      const file = `${place(one)}.${name}.tmp`;
      writeFileSync(file, '');
      utimesSync(file, now / 1000 - hours * 3600, now / 1000 - hours * 3600);
    }
    new Entries(folder).sweep(now);
    expect(existsSync(`${place(one)}.old.tmp`)).toBe(false);
    expect(existsSync(`${place(one)}.new.tmp`)).toBe(true);
  });

  test('is looked for once an hour, or when much was written', () => {
    new Entries(folder).sweep(now);
    const keys = [put('a', 100, 10)];
    new Entries(folder).sweep(now + 1000);
    expect(left(keys)).toEqual([true]);
    const busy = new Entries(folder);
    busy.put(digest('b'), 'x'.repeat(1000));
    busy.sweep(now + 1000, 1000);
    expect(left(keys)).toEqual([false]);
  });

  test('a use counts: what was read lately stays', () => {
    const one = put('a', 50, 10);
    expect(new Entries(folder).get(one)).toBeDefined();
    new Entries(folder).sweep(now + 20 * day);
    expect(left([one])).toEqual([true]);
  });
});
