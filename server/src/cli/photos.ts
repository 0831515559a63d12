import { readFile, stat } from 'node:fs/promises';
import { say } from '../language/phrase.ts';
import { URI } from 'vscode-uri';
import type { Plan } from '../plan/plan.ts';
import { photosOf } from '../report/print/photos.ts';
import type { PhotoFiles } from '../report/print/photos.ts';
import { FileTrouble, liesIn, reasonOf } from './files.ts';

/** A photograph larger than this would make a page that no mail carries. */
const mostOfOne = 4e6;
/** All photographs of a page together. */
const mostOfAll = 24e6;

/**
 * Reads the photographs that a plan names, as long as they lie in one of `folders`: a plan cannot put another file into
 * a print that is handed on.
 */
export async function readPhotos(plan: Plan, folders: readonly string[]): Promise<PhotoFiles> {
  const files = new Map<string, Uint8Array | string>();
  let left = mostOfAll;
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
  if (scheme !== 'file') throw new FileTrouble(say`it is no file of this disk`);
  if (!(await liesIn(fsPath, folders))) throw new FileTrouble(say`it lies outside of the folder of the plan`);
  // Looked at before it is opened: opening a pipe would wait for ever.
  const about = await stat(fsPath);
  if (about.isDirectory()) throw new FileTrouble(say`it is a folder`);
  if (!about.isFile()) throw new FileTrouble(say`it is not a regular file`);
  if (about.size > mostOfOne) {
    throw new FileTrouble(say`it is larger than ${mostOfOne / 1e6} MB; make a smaller copy`);
  }
  if (about.size > left) {
    throw new FileTrouble(say`the photographs before it take up the ${mostOfAll / 1e6} MB of a page`);
  }
  return readFile(fsPath);
}
