import { lstatSync, mkdirSync, realpathSync } from 'node:fs';
import { homedir } from 'node:os';
import path from 'node:path';

/** What decides where a cache lies. */
interface Surroundings {
  readonly env: Readonly<NodeJS.ProcessEnv>;
  readonly platform: NodeJS.Platform;
  readonly home: string;
}

/**
 * Where this system keeps what a program can make again: `XDG_CACHE_HOME` where it is set, else the system's own place.
 * @returns undefined where there is no such place
 */
export function cacheFolder(
  { env, platform, home }: Surroundings = { env: process.env, platform: process.platform, home: homeOf() },
): string | undefined {
  const { isAbsolute, join } = platform === 'win32' ? path.win32 : path.posix;
  // The specification has a relative path ignored.
  const given = [env['XDG_CACHE_HOME'], platform === 'win32' ? env['LOCALAPPDATA'] : undefined];
  const base = given.find((one) => one !== undefined && isAbsolute(one));
  if (base !== undefined) return join(base, 'plugward');
  if (platform === 'win32' || !isAbsolute(home)) return undefined;
  return platform === 'darwin'
    ? join(home, 'Library', 'Caches', 'plugward')
    : join(home, '.cache', 'plugward');
}

/** A user without an entry in the system's list has none. */
function homeOf(): string {
  try {
    return homedir();
  } catch {
    return '';
  }
}

/**
 * Makes a cache folder where there is none yet, and says whether what lies in it can be believed: it belongs to this user,
 * nobody else may write there, and it is no part of what is looked at, so that nobody hands over findings along with a plan.
 * @param looked the folders that are looked at
 * @returns its true path; undefined where it must be done without
 */
export function trustedCacheFolder(folder: string, looked: readonly string[]): string | undefined {
  try {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    const about = lstatSync(folder);
    if (!about.isDirectory()) return undefined;
    const user = process.getuid?.();
    // Windows has no such bits; a user's own folder for local data is closed to others there.
    if (user !== undefined && (about.uid !== user || (about.mode & 0o022) !== 0)) return undefined;
    const real = realpathSync.native(folder);
    return looked.some((one) => lies(real, realpathSync.native(one))) ? undefined : real;
  } catch {
    return undefined;
  }
}

function lies(file: string, folder: string): boolean {
  const way = path.relative(folder, file);
  return way !== '..' && !/^\.\.[/\\]/.test(way) && !path.isAbsolute(way);
}
