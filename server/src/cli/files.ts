import { constants, readFileSync, statSync } from 'node:fs';
import { access, open, readFile, realpath, rename, rm, stat } from 'node:fs/promises';
import { basename, dirname, isAbsolute, join, relative } from 'node:path';
import { randomBytes } from 'node:crypto';
import { own } from '../base/collections.ts';
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import { limits } from '../document/parse.ts';
import { spokenWords } from './terminal.ts';

/** Why a file could not be read or written, in plain words. */
export class FileError extends Error {
  constructor(readonly words: Phrase) {
    super(String(words));
  }
}

const reasons: Readonly<Record<string, Phrase>> = {
  ENOENT: say`there is no such file`,
  ENOTDIR: say`there is no such file: part of its path is not a folder`,
  EACCES: say`you have no permission to open it`,
  EPERM: say`you have no permission to open it`,
  EISDIR: say`it is a folder`,
  ELOOP: say`its links run in a circle`,
  ENAMETOOLONG: say`its name is too long`,
  EMFILE: say`too many files are open`,
  ENOSPC: say`the disk is full`,
  EROFS: say`it lies on a disk that cannot be written`,
};

/** The reason of a system error, in plain words of the language of this run. */
export function reasonOf(error: unknown): string {
  return spokenWords(reasonIn(error));
}

function reasonIn(error: unknown): Phrase {
  if (error instanceof FileError) return error.words;
  const code = (error as NodeJS.ErrnoException).code ?? '';
  return own(reasons, code) ?? say`the system refuses it (${code || String(error)})`;
}

export interface TextFile {
  /** Without the byte-order mark. */
  readonly text: string;
  readonly bytes: Uint8Array;
}

/** @throws FileTrouble when the bytes are not UTF-8. */
export function decode(bytes: Uint8Array): TextFile {
  if ((bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff)) {
    throw new FileError(say`it is written in UTF-16; save it as UTF-8`);
  }
  try {
    return { text: new TextDecoder('utf-8', { fatal: true }).decode(bytes), bytes };
  } catch {
    throw new FileError(say`it is not UTF-8 text; save it as UTF-8`);
  }
}

/** Text back to bytes, with a byte-order mark when the file had one. */
export function encode(text: string, like: TextFile): Uint8Array {
  const { bytes } = like;
  const marked = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf;
  return Buffer.from(marked ? `\ufeff${text}` : text, 'utf8');
}

/** Upper bound in UTF-8 bytes of a text within the character limit; larger files are not read. */
const mostBytes = 4 * limits.text;

/**
 * Synchronous: nothing else is waiting, and async I/O costs many times the read itself.
 * @throws an error that `reasonOf` puts into words.
 */
export function readTextFile(path: string): TextFile {
  const about = statSync(path);
  if (about.isDirectory()) throw new FileError(say`it is a folder`);
  // A pipe or a device may never end.
  if (!about.isFile()) throw new FileError(say`it is not a regular file`);
  if (about.size > mostBytes) {
    throw new FileError(say`it is too large: plans are read up to ${limits.text / 1e6} million characters`);
  }
  return decode(readFileSync(path));
}

/** Whether `path` is one of the folders or lies in one of them, links resolved on both sides. */
export async function liesIn(path: string, folders: readonly string[]): Promise<boolean> {
  const real = await realpath(path);
  for (const folder of folders) {
    const way = relative(await realpath(folder), real);
    if (way !== '..' && !/^\.\.[/\\]/.test(way) && !isAbsolute(way)) return true;
  }
  return false;
}

/**
 * Replaces a file in one step, so that nobody ever sees half of it: written beside it, then renamed over it.
 * Keeps its permissions.
 * @throws an error that `reasonOf` puts into words; the file is then as it was.
 */
export async function replace(path: string, before: TextFile, text: string): Promise<void> {
  const target = await realpath(path);
  const { mode } = await stat(target);
  await access(target, constants.W_OK);
  const fresh = join(dirname(target), `.${basename(target)}.${randomBytes(6).toString('hex')}.tmp`);
  try {
    const handle = await open(fresh, 'wx', mode & 0o7777);
    try {
      await handle.writeFile(encode(text, before));
      // `open` applies the umask to its mode, so set the mode again.
      await handle.chmod(mode & 0o7777);
      await handle.sync();
    } finally {
      await handle.close();
    }
    if (!Buffer.from(before.bytes).equals(await readFile(target))) {
      throw new FileError(say`it was changed by someone else in the meantime`);
    }
    await rename(fresh, target);
  } catch (error) {
    await rm(fresh, { force: true });
    throw error;
  }
}
