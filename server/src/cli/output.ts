import { randomBytes } from 'node:crypto';
import { rmSync } from 'node:fs';
import { open, realpath, rename, stat } from 'node:fs/promises';
import { basename, dirname, join, resolve } from 'node:path';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { say } from '../language/phrase.ts';
import { kindOf } from '../document/kind.ts';
import { printable } from '../report/listing/printable.ts';
import { UsageError } from './arguments.ts';
import type { Option } from './arguments.ts';
import { reasonOf } from './files.ts';
import { uriOf } from './targets.ts';
import { complain } from './terminal.ts';

export const outputOption = {
  type: 'string',
  short: 'o',
  value: 'FILE',
  help: say`write to FILE instead of standard output`,
} as const satisfies Option;

/** @throws UsageError when a print would take the place of a document. */
export function readOutput(output: string | undefined): string | undefined {
  if (output !== undefined && kindOf(uriOf(resolve(output)))) {
    throw new UsageError(
      say`${output} is the name of a plan, procedure, list or sheet; choose another for the print.`,
    );
  }
  return output;
}

/** Writes `text` to the file `output`, or to standard output without one. Whether it could be written. */
export const write = (output: string | undefined, text: string): Promise<boolean> =>
  writePieces(output, [text]);

/**
 * Writes a text that comes piece by piece. A file is complete or as it was: it is written beside its place first.
 * @returns whether it could be written
 */
export async function writePieces(
  output: string | undefined,
  pieces: Iterable<string> | AsyncIterable<string>,
): Promise<boolean> {
  try {
    if (output === undefined) {
      await pipeline(Readable.from(pieces), process.stdout, { end: false });
    } else {
      await writeFileAtomically(resolve(output), pieces);
    }
    return true;
  } catch (error) {
    // A reader that has seen enough closes the pipe; that is no failure.
    if (output === undefined && (error as NodeJS.ErrnoException).code === 'EPIPE') return true;
    complain(
      say`${output === undefined ? say`the output` : printable(output)} was not written: ${reasonOf(error)}.`,
    );
    return false;
  }
}

async function writeFileAtomically(
  path: string,
  pieces: Iterable<string> | AsyncIterable<string>,
): Promise<void> {
  const target = await realpath(path).catch(() => path);
  const about = await stat(target).catch(() => undefined);
  // Write in place to devices and pipes, and in folders where no new file can be created.
  const beside = !about || about.isFile() ? temporaryPath(target) : undefined;
  const fresh = beside && (await open(beside, 'wx', about?.mode).catch(() => undefined));
  if (!fresh) {
    await pipeline(Readable.from(pieces), (await open(target, 'w')).createWriteStream());
    return;
  }
  const remove = (): void => rmSync(beside, { force: true });
  process.once('exit', remove);
  try {
    await pipeline(Readable.from(pieces), fresh.createWriteStream());
    await rename(beside, target);
  } finally {
    process.removeListener('exit', remove);
    remove();
  }
}

const temporaryPath = (path: string): string =>
  join(dirname(path), `.${basename(path)}.${randomBytes(6).toString('hex')}.tmp`);
