import { constants, readFileSync, statSync } from 'node:fs';
import { access, readFile, stat } from 'node:fs/promises';
import { isAbsolute, relative } from 'node:path';
import { say } from '../language/phrase.ts';
import { truePath } from '../disk/true-path.ts';
import { limits } from '../document/parse.ts';
import { effort } from './effort.ts';
import { FileError } from './reasons.ts';
import { replaceWhole } from './replace.ts';

export interface TextFile {
  /** Without the byte-order mark. */
  readonly text: string;
  readonly bytes: Uint8Array;
}

/** @throws FileError when the bytes are not UTF-8. */
export function decode(bytes: Uint8Array): TextFile {
  if ((bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff)) {
    throw new FileError(say`it is written in UTF-16; save it as UTF-8`);
  }
  try {
    const text = new TextDecoder('utf-8', { fatal: true }).decode(bytes);
    effort.reads(bytes.length);
    return { text, bytes };
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
export const maxBytes = 4 * limits.text;

/**
 * Synchronous: nothing else is waiting, and async I/O costs many times the read itself.
 * @throws an error that `reasonOf` puts into words.
 */
export const readTextFile = (path: string): TextFile => decode(readBytes(path));

/**
 * The same before its bytes are taken for text.
 * @throws an error that `reasonOf` puts into words.
 */
export function readBytes(path: string): Uint8Array {
  const about = statSync(path);
  if (about.isDirectory()) throw new FileError(say`it is a folder`);
  // A pipe or a device may never end.
  if (!about.isFile()) throw new FileError(say`it is not a regular file`);
  if (about.size > maxBytes) {
    throw new FileError(say`it is too large: plans are read up to ${limits.text / 1e6} million characters`);
  }
  return readFileSync(path);
}

/** Whether `path` is one of the folders or lies in one of them, links resolved on both sides. */
export async function liesIn(path: string, folders: readonly string[]): Promise<boolean> {
  const real = await truePath(path);
  for (const folder of folders) {
    const way = relative(await truePath(folder), real);
    if (way !== '..' && !/^\.\.[/\\]/.test(way) && !isAbsolute(way)) return true;
  }
  return false;
}

/**
 * Replaces a document atomically. Keeps its permissions, owner and group.
 * @throws an error that `reasonOf` puts into words; the file is then as it was.
 */
export async function replace(path: string, before: TextFile, text: string): Promise<void> {
  const target = await truePath(path);
  const about = await stat(target);
  await access(target, constants.W_OK);
  const unchanged = async (): Promise<void> => {
    const now = await stat(target);
    const bytes = await readFile(target);
    // Renaming another file over it would leave the old text under its other names.
    if (now.nlink > 1)
      throw new FileError(
        say`it has other names too (hard links), which would keep the old text; fix it by hand`,
      );
    if (now.ino !== about.ino || now.dev !== about.dev || !bytes.equals(before.bytes))
      throw new FileError(say`it was changed by someone else in the meantime`);
  };
  const ownerLost = (): never => {
    throw new FileError(say`it belongs to somebody else, and would not any more; let its owner fix it`);
  };
  await replaceWhole(target, [encode(text, before)], about, unchanged, ownerLost);
}
