import { existsSync, mkdtempSync, rmSync, symlinkSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import path from 'node:path';

/**
 * Whether a program that is no part of this project can be started. Tests that need one are skipped without it, which is
 * said aloud; the last line of `npm test` counts them.
 */
export function onPath(program: string): boolean {
  const ends = process.platform === 'win32' ? ['.exe', '.cmd'] : [''];
  const found = (process.env['PATH'] ?? '')
    .split(path.delimiter)
    .some((folder) => ends.some((end) => existsSync(path.join(folder, program + end))));
  if (!found) console.warn(`TESTS ARE SKIPPED: there is no ${program} on the PATH.`);
  return found;
}

/** Whether the tests of the command line run it in a Node for Windows: see tests/support/windows.ts. */
export const isTriedOnWindows = process.env['PLUGWARD_CLI_ON'] === 'windows';
const posix = process.platform !== 'win32' && !isTriedOnWindows;
const user = process.getuid?.();

/** What a system may not have, and how to tell. */
const has = {
  /** Windows lets only some users make links; wine hides that they are links. */
  links: () => {
    if (isTriedOnWindows) return false;
    const folder = mkdtempSync(path.join(tmpdir(), 'plugward-'));
    try {
      symlinkSync('nowhere', path.join(folder, 'link'));
      return true;
    } catch {
      return false;
    } finally {
      rmSync(folder, { recursive: true });
    }
  },
  'modes of files': () => posix,
  'a shell of POSIX': () => posix,
  'pipes with names': () => posix,
  '/dev/full': () => existsSync('/dev/full'),
  '/dev/zero': () => existsSync('/dev/zero'),
  '/proc': () => posix && existsSync('/proc/self/status'),
  /** Elsewhere a signal kills a program that would have caught it. */
  signals: () => posix,
  'a super-user': () => posix && user === 0,
  'a user with fewer rights': () => posix && user !== undefined && user !== 0,
  /** What folds names into another spelling has no two files that differ in capitals. */
  'names that differ in capitals': () => posix && process.platform !== 'darwin',
  /** In wine there is no git. */
  'a git of the same system': () => !isTriedOnWindows,
  /** A test that starts this Node itself does not start the one for Windows. */
  'one Node for all': () => !isTriedOnWindows,
  /** Windows takes no control characters in names. */
  'any sign in a name': () => posix,
} satisfies Record<string, () => boolean>;

const known = new Map<string, boolean>();

/** Whether this system lacks one of these: `test.skipIf(lacks('links'))`. Said aloud once a file. */
export function lacks(...needs: readonly (keyof typeof has)[]): boolean {
  return (
    needs.filter((need) => {
      let there = known.get(need);
      if (there === undefined) {
        known.set(need, (there = has[need]()));
        if (!there) console.warn(`TESTS ARE SKIPPED: this system has not ${need}, or not for this user.`);
      }
      return !there;
    }).length > 0
  );
}

/** npm as a script for this Node: where npm says that it lies, else beside this Node. `npm` is no program on Windows. */
export function npmScript(): string {
  const given = process.env['npm_execpath'];
  if (given?.endsWith('npm-cli.js')) return given;
  const near = process.platform === 'win32' ? './node_modules' : '../lib/node_modules';
  return createRequire(process.execPath).resolve(`${near}/npm/bin/npm-cli.js`);
}
