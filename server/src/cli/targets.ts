import { lstat, readdir, stat } from 'node:fs/promises';
import { basename, dirname, join, relative, resolve, sep } from 'node:path';
import { say, someOf } from '../language/phrase.ts';
import picomatch from 'picomatch';
import { URI } from 'vscode-uri';
import { diskSpelling } from '../disk/spelling.ts';
import { truePath } from '../disk/true-path.ts';
import { EnteredFolders, entriesOf } from '../disk/listing.ts';
import { kindByName } from '../document/kind.ts';
import { exclusionIn } from '../workspace/exclusion.ts';
import type { Exclusion, FolderReader } from '../workspace/exclusion.ts';
import { printable } from '../report/listing/printable.ts';
import type { Kind } from '../document/kind.ts';
import { liesIn, readTextFile } from './files.ts';
import { FileError, reasonOf } from './reasons.ts';
import { localizeOutput, printError } from './terminal.ts';

export interface FileFailure {
  readonly uri: string;
  readonly reason: string;
}

/** What the PATHS of the command line come to. */
export interface Targets {
  /** Absolute paths without duplicates, in the requested order; those of a folder by name. */
  readonly files: readonly string[];
  /** The folders that were given, and those of the files that were given. */
  readonly folders: readonly string[];
  readonly standardInput: boolean;
  readonly trouble: readonly FileFailure[];
}

const leadsOut = say`it is a link that leads out of the folder; name the file itself to have it read`;

/** Relative to `cwd` with forward slashes; the absolute path where that is shorter. */
export function shownPath(path: string, cwd: string): string {
  const near = relative(cwd, path) || '.';
  return (near.length <= path.length ? near : path).split(sep).join('/');
}

export function uriOf(path: string): string {
  return URI.file(path).toString();
}

/** The kind of a file by its name. */
export const kindByPath = (path: string): Kind | undefined => kindByName(basename(path));

/** A file that was met while looking through a folder. */
interface WalkedFile {
  readonly path: string;
  /** Real path; `undefined` for a link not yet resolved. */
  readonly real: string | undefined;
}

/** Finds the documents that PATHS name: files as they are, folders with all below them, patterns. */
export async function findTargets(
  paths: readonly string[],
  cwd: string,
  reader: FolderReader = folderReader,
): Promise<Targets> {
  const files = new Map<string, string>();
  const folders = new Set<string>();
  const trouble: FileFailure[] = [];
  const report = (path: string, reason: string): void => {
    trouble.push({ uri: uriOf(path), reason });
  };
  const add = async (path: string): Promise<void> => {
    // A file that is reached twice, by a link too, is one file.
    const real = await truePath(path).catch(() => path);
    if (!files.has(real)) files.set(real, (await diskSpelling(path)) ?? path);
  };
  /** Files found by search (not named directly) must lie inside the searched folder. */
  const addMet = async ({ path, real }: WalkedFile, folder: string): Promise<void> => {
    if (real !== undefined) {
      if (!files.has(real)) files.set(real, path);
      return;
    }
    // A dangling link is reported when it is read.
    if (await liesIn(path, [folder, cwd]).catch(() => true)) await add(path);
    else report(path, localizeOutput(leadsOut));
  };

  const leftOut: string[] = [];
  const addFolder = async (folder: string, fits: (path: string) => boolean): Promise<boolean> => {
    folders.add(folder);
    const entered = new EnteredFolders();
    await entered.enter(folder);
    const walked = await walk(folder, await truePath(folder), {
      entered,
      exclusion: await exclusionIn(folder, reader),
      reader,
      report,
      leaveOut: (path) => leftOut.push(path),
    });
    const found = walked.filter(({ path }) => fits(path));
    for (const met of found) await addMet(met, folder);
    return found.length > 0;
  };
  const addGiven = async (given: string): Promise<void> => {
    const path = resolve(cwd, given);
    const about = await stat(path).catch((error: NodeJS.ErrnoException) => {
      if (error.code !== 'ENOENT') throw error;
    });
    if (about?.isDirectory()) {
      if (await addFolder(path, () => true)) return;
      throw new FileError(say`no plan, procedure, list or sheet is in this folder`);
    }
    if (about) {
      folders.add(dirname(path));
      return add(path);
    }
    if (await isLink(path)) throw new FileError(say`it is a link that leads nowhere`);
    const { isGlob, base, glob } = picomatch.scan(sep === '\\' ? given.replaceAll(sep, '/') : given);
    if (!isGlob) throw new FileError(say`there is no such file`);
    const folder = resolve(cwd, base);
    const matches = picomatch(glob);
    const fits = (one: string): boolean => matches(relative(folder, one).split(sep).join('/'));
    if (await addFolder(folder, fits)) return;
    throw new FileError(say`no plan, procedure, list or sheet matches this pattern, in which capitals count`);
  };

  for (const given of paths.length > 0 ? paths : ['.']) {
    if (given === '-') continue;
    try {
      await addGiven(given);
    } catch (error) {
      report(resolve(cwd, given), reasonOf(error));
    }
  }
  // What is passed over is said: it is not checked, and may look it.
  if (leftOut.length > 0) {
    const names = leftOut.map((path) => printable(shownPath(path, cwd)));
    printError(
      say`left out by \`.gitignore\`, or by \`exclude\` of a rate sheet: ${someOf(names, 5)}. Name a file or folder to have it checked all the same.`,
    );
  }
  return {
    files: [...files.values()],
    folders: [...folders],
    standardInput: paths.includes('-'),
    trouble,
  };
}

async function isLink(path: string): Promise<boolean> {
  return (await lstat(path).catch(() => undefined))?.isSymbolicLink() ?? false;
}

const skipped = (name: string): boolean => name === 'node_modules' || name.startsWith('.');

/** The disk, as the exclusion looks at it. */
const folderReader: FolderReader = {
  isThere: (path) =>
    stat(path).then(
      () => true,
      () => false,
    ),
  names: (folder) => readdir(folder).catch(() => []),
  text(path) {
    try {
      return Promise.resolve(readTextFile(path).text);
    } catch {
      return Promise.resolve(undefined);
    }
  },
};

/** The disk, as far as it lies in a folder, links followed. */
export function readerInside(folder: string): FolderReader {
  const lies = (path: string): Promise<boolean> => liesIn(path, [folder]).catch(() => false);
  return {
    isThere: async (path) => (await lies(path)) && folderReader.isThere(path),
    names: async (path) => ((await lies(path)) ? folderReader.names(path) : []),
    text: async (path) => ((await lies(path)) ? folderReader.text(path) : undefined),
  };
}

interface Walk {
  readonly entered: EnteredFolders;
  readonly reader: FolderReader;
  /** Of the folder that is walked. */
  readonly exclusion: Exclusion;
  readonly report: (path: string, reason: string) => void;
  readonly leaveOut: (path: string) => void;
}

/**
 * All documents below a folder, by name; linked folders are skipped.
 * @param real where the folder lies in truth
 */
async function walk(folder: string, real: string, how: Walk): Promise<WalkedFile[]> {
  const found: WalkedFile[] = [];
  const { exclusion, report, leaveOut } = how;
  const entries = await entriesOf(folder);
  entries.sort((a, b) => (a.name < b.name ? -1 : 1));
  for (const entry of entries) {
    const path = join(folder, entry.name);
    if (skipped(entry.name)) continue;
    const isFolder = entry.kind === 'folder';
    if ((isFolder || kindByName(entry.name)) && exclusion.leavesOut(path, isFolder)) {
      leaveOut(path);
      continue;
    }
    if (isFolder) {
      if (!(await how.entered.enter(path))) continue;
      try {
        const inner = await exclusion.entering(path, await how.reader.names(path));
        for (const met of await walk(path, join(real, entry.name), { ...how, exclusion: inner })) {
          found.push(met);
        }
      } catch (error) {
        report(path, reasonOf(error));
      }
    } else if (kindByName(entry.name)) {
      found.push({ path, real: entry.kind === 'link' ? undefined : join(real, entry.name) });
    }
  }
  return found;
}
