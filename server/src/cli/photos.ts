import { readFile, stat } from 'node:fs/promises';
import { say } from '../language/phrase.ts';
import { URI } from 'vscode-uri';
import type { Plan } from '../plan/plan.ts';
import { photoLimits, photosOf, tooLargePhoto, tooManyPhotos } from '../report/print/photos.ts';
import type { PhotoFiles } from '../report/print/photos.ts';
import { liesIn } from './files.ts';
import { FileError, reasonOf } from './reasons.ts';

/**
 * Reads the photographs that a plan names, as long as they lie in one of `folders`: a plan cannot put another file into
 * a print that is handed on.
 */
export async function readPhotos(plan: Plan, folders: readonly string[]): Promise<PhotoFiles> {
  const files = new Map<string, Uint8Array | string>();
  let left: number = photoLimits.all;
  for (const { uri } of photosOf(plan)) {
    if (uri === undefined || files.has(uri)) continue;
    try {
      const bytes = await readPhoto(uri, folders, left);
      left -= bytes.length;
      files.set(uri, bytes);
    } catch (error) {
      files.set(uri, reasonOf(error));
    }
  }
  return files;
}

async function readPhoto(uri: string, folders: readonly string[], left: number): Promise<Uint8Array> {
  const { scheme, fsPath } = URI.parse(uri);
  if (scheme !== 'file') throw new FileError(say`it is not a file on this disk`);
  if (!(await liesIn(fsPath, folders))) throw new FileError(say`it lies outside of the folder of the plan`);
  // Looked at before it is opened: opening a pipe would wait for ever.
  const about = await stat(fsPath);
  if (about.isDirectory()) throw new FileError(say`it is a folder`);
  if (!about.isFile()) throw new FileError(say`it is not a regular file`);
  if (about.size > photoLimits.one) throw new FileError(tooLargePhoto);
  if (about.size > left) throw new FileError(tooManyPhotos);
  return readFile(fsPath);
}
