import { dirname, relative, resolve, sep } from 'node:path';
import { URI } from 'vscode-uri';
import { own } from '../base/collections.ts';
import { isRecord } from '../compare/baseline.ts';
import type { FileRecord } from '../compare/baseline.ts';
import { say } from '../language/phrase.ts';
import { printable } from '../report/listing/printable.ts';
import { UsageError } from './arguments.ts';
import { readTextFile } from './files.ts';
import { reasonOf } from './reasons.ts';
import { jsonText } from '../report/listing/json-text.ts';

/** Records of files, by their path from the folder of the baseline, with forward slashes. */
type Baseline = Readonly<Record<string, FileRecord>>;

const nameIn = (path: string, uri: string): string =>
  relative(dirname(resolve(path)), URI.parse(uri).fsPath)
    .split(sep)
    .join('/');

/** @throws UsageError where it cannot be read or is no baseline of ours */
export function readBaseline(path: string): (uri: string) => FileRecord | undefined {
  let read: unknown;
  try {
    read = JSON.parse(readTextFile(resolve(path)).text);
  } catch (error) {
    if (error instanceof SyntaxError) throw notOurs(path);
    throw new UsageError(say`${printable(path)} was not read: ${reasonOf(error)}.`);
  }
  const { baseline, files } = (read ?? {}) as { baseline?: unknown; files?: unknown };
  if (baseline !== 1 || typeof files !== 'object' || files === null) throw notOurs(path);
  if (!Object.values(files).every(isRecord)) throw notOurs(path);
  return (uri) => own(files as Baseline, nameIn(path, uri));
}

const notOurs = (path: string): UsageError =>
  new UsageError(
    say`${printable(path)} is no baseline: write one with \`plugward check --write-baseline FILE\`.`,
  );

export function baselineText(path: string, records: ReadonlyMap<string, FileRecord>): string {
  const files = Object.fromEntries(
    [...records].map(([uri, record]) => [nameIn(path, uri), record] as const).sort(),
  );
  return `${jsonText({ baseline: 1, files }, 1)}\n`;
}

/** Whether a file is a baseline, which a new one may replace. */
export function isBaseline(path: string): boolean {
  try {
    readBaseline(path);
    return true;
  } catch {
    return false;
  }
}
