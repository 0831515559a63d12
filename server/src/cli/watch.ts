import { basename, extname, relative, resolve, sep } from 'node:path';
import { watch } from 'chokidar';
import { truePath } from '../disk/true-path.ts';
import { say } from '../language/phrase.ts';
import { UsageError } from './arguments.ts';
import { reasonOf } from './reasons.ts';
import { kindByPath } from './targets.ts';
import { printError, writeOutput } from './terminal.ts';

/** One run of a check that is watched. */
export interface Round {
  /** Folders in which all lies that may be read for it. */
  readonly folders: readonly string[];
  /** Files that were read, as far as they are known. */
  readonly inputs: Iterable<string>;
}

/** A burst of changes, such as a checkout, is one round; unit: milliseconds. */
const quiet = 100;

/** Erases the screen and what is scrolled out of it. */
const clear = '\u001b[2J\u001b[3J\u001b[H';

/** Folders that are not looked through, below one that is. */
function isPassedOver(path: string, folders: readonly string[]): boolean {
  const inside = folders.map((folder) => relative(folder, path)).filter((way) => !way.startsWith('..'));
  const skipped = (name: string): boolean =>
    name === 'node_modules' || (name.startsWith('.') && name !== '.gitignore');
  return inside.length > 0 && inside.every((way) => way.split(sep).some(skipped));
}

/** Photographs count too: a plan names them, and a missing one is a finding. */
const counts = (path: string): boolean =>
  kindByPath(path) !== undefined ||
  basename(path) === '.gitignore' ||
  ['.jpg', '.jpeg', '.png'].includes(extname(path).toLowerCase());

/**
 * Checks, and checks again after each change of a file that could matter, until Control+C.
 * @param outputs files that the rounds write
 * @returns the exit code of a program that was ended by Control+C
 */
export async function keepChecking(
  folders: readonly string[],
  outputs: readonly string[],
  round: () => Promise<Round>,
): Promise<number> {
  const written = new Set(outputs.map((path) => resolve(path)));
  const known = new Set<string>();
  const roots = new Set(folders);
  let changed = true;
  let wake = (): void => undefined;
  let ended = false;
  const watcher = watch([...roots], {
    ignoreInitial: true,
    // As in a search, a linked folder is not entered; linked files are added below by where they lie.
    followSymlinks: false,
    ignored: (path) => isPassedOver(path, [...roots]),
  });
  const failed = new Promise<never>((_, reject) => {
    watcher.on('error', (error) => {
      // ENOSPC: inotify(7) has no more watches for this user. That is no full disk.
      const many = (error as NodeJS.ErrnoException).code === 'ENOSPC';
      const reason = many ? say`they hold more folders than this system watches` : reasonOf(error);
      reject(new UsageError(say`The folders cannot be watched: ${reason}.`));
    });
  });
  // It may come while nobody waits for it.
  failed.catch(() => undefined);
  watcher.on('all', (_, path) => {
    if (written.has(path) || !(counts(path) || known.has(path))) return;
    changed = true;
    wake();
  });
  const stop = (): void => {
    ended = true;
    wake();
  };
  process.once('SIGINT', stop);
  const change = (): Promise<void> =>
    new Promise((done) => {
      wake = done;
      if (changed || ended) done();
    });
  const pause = (): Promise<void> => new Promise((done) => setTimeout(done, quiet));
  try {
    await Promise.race([new Promise((done) => watcher.once('ready', () => done(undefined))), failed]);
    for (;;) {
      changed = false;
      if (process.stdout.isTTY) writeOutput(clear);
      const { folders: read, inputs } = await round();
      for (const folder of read) {
        if (!roots.has(folder)) watcher.add(folder);
        roots.add(folder);
      }
      for (const path of inputs) {
        for (const one of new Set([path, await truePath(path).catch(() => path)])) {
          if (known.has(one)) continue;
          known.add(one);
          watcher.add(one);
        }
      }
      printError(say`watching for changes; Control+C ends it.`);
      await Promise.race([change(), failed]);
      if (ended) return 130;
      do {
        changed = false;
        await pause();
      } while (changed && !ended);
      if (ended) return 130;
    }
  } finally {
    process.removeListener('SIGINT', stop);
    await watcher.close();
  }
}
