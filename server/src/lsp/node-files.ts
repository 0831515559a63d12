import { closeSync, constants, fstatSync, openSync, readSync, realpathSync } from 'node:fs';
import type { BigIntStats } from 'node:fs';
import { open, readdir, readFile, stat } from 'node:fs/promises';
import path from 'node:path';
import { URI } from 'vscode-uri';
import { kindByName } from '../document/kind.ts';
import { patiently } from '../disk/patience.ts';
import { EnteredFolders, entriesOf } from '../disk/listing.ts';
import { diskSpelling } from '../disk/spelling.ts';
import { truePath } from '../disk/true-path.ts';
import { exclusionIn } from '../workspace/exclusion.ts';
import type { Exclusion, FolderReader } from '../workspace/exclusion.ts';
import type { FileSource } from './host.ts';

/** Far above any file a shop writes; a larger one is not a plan, and reading it would stall the editor. */
const maxBytes = 8 * 1024 * 1024;

/** Longer than the steps in which any disk counts time (FAT: two seconds). Unit: ms. */
const recent = 3_000;

/** Files of this machine's disk. */
export const nodeFiles: FileSource = {
  read: readingBy(() => performance.now()),

  async stamp(uri) {
    try {
      return stampOf(await stat(pathOf(uri), { bigint: true }));
    } catch {
      return undefined;
    }
  },

  async photo(uri, roots, max) {
    try {
      const file = await truePath(pathOf(uri));
      if (!contained(await realFolders(roots), file)) return undefined;
      const found = await stat(file);
      if (!found.isFile()) return undefined;
      return found.size > max ? 'large' : await readFile(file);
    } catch {
      return undefined;
    }
  },

  async whichExist(uris, roots) {
    const folders = await realFolders(roots);
    return Promise.all(
      uris.map(async (uri) => {
        try {
          const file = await truePath(pathOf(uri));
          return contained(folders, file) && (await stat(file)).isFile();
        } catch {
          return false;
        }
      }),
    );
  },

  async spelling(uri) {
    const file = await diskSpelling(pathOf(uri)).catch(() => undefined);
    return file === undefined ? undefined : URI.file(file).toString();
  },

  async list(roots, max) {
    const found: string[] = [];
    const entered = new EnteredFolders();
    const visit = async (folder: string, exclusion: Exclusion): Promise<void> => {
      if (!(await entered.enter(folder))) return;
      const entries = await entriesOf(folder).catch(() => []);
      // Not in the order of a language, whose rules take milliseconds to load.
      for (const entry of entries.sort((a, b) => (a.name < b.name ? -1 : 1))) {
        if (found.length >= max) return;
        const file = path.join(folder, entry.name);
        // Links are not followed: a folder that links to itself would have no end.
        if (entry.kind === 'file' && kindByName(entry.name)) {
          if (!exclusion.leavesOut(file, false)) found.push(URI.file(file).toString());
        } else if (entry.kind === 'folder' && !skipped.test(entry.name) && !exclusion.leavesOut(file, true)) {
          await visit(file, await exclusion.entering(file, await folderReader.names(file)));
        }
      }
    };
    for (const root of roots) {
      if (root.startsWith('file:')) await visit(pathOf(root), await exclusionIn(pathOf(root), folderReader));
    }
    return found;
  },
};

const decoder = new TextDecoder();

interface StampedBytes {
  readonly bytes: Uint8Array;
  /** That of the file before they were read. */
  readonly stamp: string | undefined;
}

/** A disk that takes longer for two files in a row counts as slow: for one, the process may have stood still. Unit: ms. */
const slowFrom = 5;
/** How many files of a slow disk other threads read before it is tried again. */
const leftToThreads = 64;

/**
 * Reads files. Each is read in the same turn of the event loop, in a third of the time it takes to hand every call to another
 * thread. Where the disk is slow, such as a network drive, other threads read for a while, so that nobody waits for it.
 * @param now a clock in milliseconds
 */
export function readingBy(now: () => number): FileSource['read'] {
  let left = 0;
  let wasSlow = false;
  return async (uri, roots) => {
    try {
      const [named, folders] = [pathOf(uri), await knownFolders(roots)];
      let read: StampedBytes | undefined;
      if (left > 0) left--;
      else {
        const start = now();
        read = readAtOnce(named, folders);
        const isSlow = now() - start > slowFrom;
        if (isSlow && wasSlow) left = leftToThreads;
        wasSlow = isSlow;
      }
      read ??= await readPatiently(named, folders);
      // Unlike `readFile`'s own decoding this takes off a byte-order mark, as editors do.
      return read && { text: decoder.decode(read.bytes), stamp: read.stamp };
    } catch {
      return undefined;
    }
  };
}

/** @returns undefined where `readPatiently` must decide: a file that is missing, held, growing or may not be read */
function readAtOnce(named: string, folders: readonly (string | undefined)[]): StampedBytes | undefined {
  let handle: number | undefined;
  try {
    const file = realpathSync.native(named);
    if (!contained(folders, file)) return undefined;
    handle = openSync(file, readOnly);
    const found = fstatSync(handle, { bigint: true });
    if (!found.isFile() || found.size > maxBytes) return undefined;
    const room = roomFor(found);
    const length = readSync(handle, room, 0, room.length, 0);
    return length === room.length - 1
      ? { bytes: room.subarray(0, length), stamp: stampOf(found) }
      : undefined;
  } catch {
    return undefined;
  } finally {
    if (handle !== undefined) closeSync(handle);
  }
}

async function readPatiently(
  named: string,
  folders: readonly (string | undefined)[],
): Promise<StampedBytes | undefined> {
  const file = await truePath(named);
  // Another program may hold it for a moment.
  return contained(folders, file) ? patiently(() => stamped(file)) : undefined;
}

/** Opening a pipe would wait for ever otherwise. */
const readOnly = constants.O_RDONLY | (constants.O_NONBLOCK ?? 0);

/** The bytes of a file of a size that can be a plan's, and its stamp before they were read. */
async function stamped(file: string): Promise<StampedBytes | undefined> {
  const handle = await open(file, readOnly);
  try {
    const found = await handle.stat({ bigint: true });
    if (!found.isFile() || found.size > maxBytes) return undefined;
    const room = roomFor(found);
    const { bytesRead } = await handle.read(room, 0, room.length, 0);
    return bytesRead === room.length - 1
      ? { bytes: room.subarray(0, bytesRead), stamp: stampOf(found) }
      : { bytes: await readFile(file), stamp: undefined };
  } finally {
    await handle.close();
  }
}

/** One byte more than the file has shows whether somebody adds to it. */
const roomFor = ({ size }: BigIntStats): Buffer => Buffer.allocUnsafe(Number(size) + 1);

function stampOf({ dev, ino, size, mtimeNs, ctimeNs, ctimeMs }: BigIntStats): string | undefined {
  // Disks count in steps; what follows within one leaves the time as it was.
  const isRecent = Math.abs(Date.now() - Number(ctimeMs)) < recent;
  return isRecent ? undefined : [dev, ino, size, mtimeNs, ctimeNs].join(' ');
}

/** The disk, as the exclusion looks at it. */
const folderReader: FolderReader = {
  isThere: (file) =>
    stat(file).then(
      () => true,
      () => false,
    ),
  names: (folder) => readdir(folder).catch(() => []),
  async text(file) {
    try {
      const found = await stat(file);
      return found.isFile() && found.size <= maxBytes
        ? new TextDecoder().decode(await readFile(file))
        : undefined;
    } catch {
      return undefined;
    }
  },
};

/** Folders of tools, which contain no plans. */
const skipped = /^(\.|node_modules$)/;

const realFolders = (roots: readonly string[]): Promise<(string | undefined)[]> =>
  Promise.all(
    // Some may lie elsewhere, where this disk has no say.
    roots.map(async (root) =>
      root.startsWith('file:') ? truePath(pathOf(root)).catch(() => undefined) : undefined,
    ),
  );

const looked = new WeakMap<readonly string[], ReturnType<typeof realFolders>>();

/** The same, looked for once for each list: its owner makes a new one when anything has changed on disk. */
async function knownFolders(roots: readonly string[]): ReturnType<typeof realFolders> {
  const known = looked.get(roots);
  if (known) return known;
  const folders = realFolders(roots);
  // One that is not there may come.
  if (!(await folders).includes(undefined)) looked.set(roots, folders);
  return folders;
}

const contained = (folders: readonly (string | undefined)[], file: string): boolean =>
  folders.some((folder) => folder !== undefined && contains(folder, file));

function pathOf(uri: string): string {
  const parsed = URI.parse(uri);
  if (parsed.scheme !== 'file') throw new RangeError(`not on this disk: ${uri}`);
  return path.resolve(parsed.fsPath);
}

function contains(folder: string, file: string): boolean {
  const relative = path.relative(folder, file);
  return relative !== '' && !path.isAbsolute(relative) && relative.split(path.sep)[0] !== '..';
}
