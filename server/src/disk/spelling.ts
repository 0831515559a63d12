import { realpathSync } from 'node:fs';
import { readdir, stat } from 'node:fs/promises';
import path from 'node:path';
import { URI } from 'vscode-uri';
import { sameButSpelling, spelledLike } from '../workspace/spelling.ts';
import { truePath } from './true-path.ts';

/**
 * A path as the disk spells it, where that differs from the one given in capitals or in how accented letters are composed:
 * on a disk that takes both for one file, and on one where no file of the given name exists.
 * @returns undefined where it does not differ, where there is no such file, and where two could be meant
 */
export async function diskSpelling(file: string): Promise<string | undefined> {
  const real = await truePath(file).catch(() => undefined);
  if (real === undefined) return similar(file);
  const spelled = spelledLike(file, real);
  // A link may lead to a file whose name differs from its own in nothing but capitals.
  return spelled === file || (await isListed(file)) ? undefined : spelled;
}

/** The address of a file as this disk spells it; the given one for a file that is not there, or not on this disk. */
export function uriOnDisk(uri: string): string {
  const { scheme, fsPath } = URI.parse(uri);
  if (scheme !== 'file') return uri;
  try {
    return URI.file(spelledLike(fsPath, realpathSync.native(fsPath))).toString();
  } catch {
    return uri;
  }
}

/** Whether each part of a path stands in its folder's list exactly so. */
async function isListed(file: string): Promise<boolean> {
  const folder = path.dirname(file);
  if (folder === file) return true;
  const names = await readdir(folder).catch(() => undefined);
  // A folder that may not be listed says nothing against the name.
  return (names === undefined || names.includes(path.basename(file))) && isListed(folder);
}

/** The only file whose path differs from a missing one's in spelling. */
async function similar(file: string): Promise<string | undefined> {
  const folder = path.dirname(file);
  if (folder === file) return undefined;
  const there = (await stat(folder).catch(() => undefined))?.isDirectory() ? folder : await similar(folder);
  if (there === undefined) return undefined;
  const names = await readdir(there).catch(() => []);
  const [name, another] = names.filter((each) => sameButSpelling(each, path.basename(file)));
  return name === undefined || another !== undefined ? undefined : path.join(there, name);
}
