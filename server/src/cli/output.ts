import type { Stats } from 'node:fs';
import { constants } from 'node:fs';
import { lstat, open, stat } from 'node:fs/promises';
import { resolve } from 'node:path';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { say } from '../language/phrase.ts';
import { kindOf } from '../document/kind.ts';
import { printable } from '../report/listing/printable.ts';
import { isPrint } from '../report/print/print-mark.ts';
import { UsageError } from './arguments.ts';
import type { GivenOption, Options } from './arguments.ts';
import { FileError, reasonOf } from './reasons.ts';
import { replaceWhole } from './replace.ts';
import { deviceIn, nowhere } from './reserved-names.ts';
import { uriOf } from './targets.ts';
import { printError } from './terminal.ts';

export const outputOptions = {
  output: {
    type: 'string',
    short: 'o',
    value: say`FILE`,
    completes: 'files',
    help: say`write to FILE instead of standard output; a file that Plugward did not print is not replaced`,
  },
  force: { type: 'boolean', help: say`with --output: replace any file but a link or one that was read` },
} as const satisfies Options;

/** The same for a command that prints several formats in one run. */
export const outputsOptions = {
  output: {
    ...outputOptions.output,
    multiple: true,
    help: say`write to FILE instead of standard output; with several formats, what the --format before it prints; a file that Plugward did not print is not replaced`,
  },
  force: outputOptions.force,
} as const satisfies Options;

/** Where a print goes; standard output without a path. */
export interface Output {
  readonly path: string | undefined;
  /** Replace a file that is no print of ours. */
  readonly force: boolean;
}

/**
 * Where to write, as the command line says. What stands there is looked at before the work begins, and once more when it
 * is replaced.
 * @throws UsageError when it must not be replaced.
 */
export async function readOutput({
  output: path,
  force,
}: {
  readonly output: string | undefined;
  readonly force: boolean;
}): Promise<Output> {
  if (path === undefined) {
    if (force) throw new UsageError(say`--force goes with --output.`);
    return { path, force };
  }
  if (kindOf(uriOf(resolve(path)))) {
    throw new UsageError(
      say`${printable(path)} is the name of a plan, procedure, list or sheet; choose another name for the print.`,
    );
  }
  const device = deviceIn(path);
  if (device !== undefined && device !== nowhere) {
    throw new UsageError(
      say`${printable(path)} is the name of a device on Windows; choose another for the print.`,
    );
  }
  try {
    await refuseToReplace(resolve(path), { force, inputs: [] });
  } catch (error) {
    if (error instanceof FileError)
      throw new UsageError(say`${printable(path)} was not written: ${error.words}.`);
    // What else is wrong with the place is told when it is written.
  }
  return { path, force };
}

/**
 * What is printed and where it goes: each `--output` belongs to the `--format` before it.
 * @param given the options in their order
 * @param usual the format where none is named
 * @throws UsageError unless each format has one place, and each place one format
 */
export async function readOutputs<F extends string>(
  given: readonly GivenOption[],
  force: boolean,
  usual: F,
): Promise<{ readonly format: F; readonly output: Output }[]> {
  const example = '--format sarif -o a.sarif --format junit -o b.xml';
  const prints: { format: F; path?: string }[] = [];
  const formats = given.filter(({ name }) => name === 'format').map(({ value }) => value as F);
  // A single format may stand after its file.
  if (formats.length < 2) prints.push({ format: formats[0] ?? usual });
  for (const { name, value } of given) {
    if (name === 'format' && formats.length > 1) prints.push({ format: value as F });
    if (name !== 'output') continue;
    const print = prints.at(-1);
    if (!print || print.path !== undefined) {
      throw new UsageError(say`Each --output belongs to the --format before it: ${example}.`);
    }
    print.path = value;
  }
  if (prints.filter(({ path }) => path === undefined).length > 1) {
    throw new UsageError(
      say`Only one format can go to standard output; name a file for each of the others: ${example}.`,
    );
  }
  const places = prints.flatMap(({ path }) => (path === undefined ? [] : [resolve(path)]));
  const twice = places.find((path, at) => deviceIn(path) === undefined && places.indexOf(path) < at);
  if (twice !== undefined) {
    throw new UsageError(say`${printable(twice)} can hold one format only; name another file for the other.`);
  }
  if (force && places.length === 0) throw new UsageError(say`--force goes with --output.`);
  const read = [];
  for (const { format, path } of prints) {
    read.push({ format, output: await readOutput({ output: path, force: force && path !== undefined }) });
  }
  return read;
}

/** Writes `text` to its place. Whether it could be written. */
export const write = (output: Output, text: string, inputs: Iterable<string>): Promise<boolean> =>
  writePieces(output, [text], inputs);

/**
 * Writes a text that comes piece by piece. A file is complete or as it was.
 * @param inputs paths of the files that were read for it: none of them is replaced, whatever name it has
 * @returns whether it could be written
 */
export async function writePieces(
  { path, force }: Output,
  pieces: Iterable<string> | AsyncIterable<string>,
  inputs: Iterable<string>,
): Promise<boolean> {
  try {
    if (path === undefined) await pipeline(Readable.from(pieces), process.stdout, { end: false });
    else if (deviceIn(path) !== nowhere) await writeFileAtomically(resolve(path), pieces, { force, inputs });
    return true;
  } catch (error) {
    // A reader that has seen enough closes the pipe; that is no failure.
    if (path === undefined && (error as NodeJS.ErrnoException).code === 'EPIPE') return true;
    const reason =
      (error as NodeJS.ErrnoException).code === 'ENOENT'
        ? say`the folder it goes into is not there`
        : reasonOf(error);
    printError(say`${path === undefined ? say`the output` : printable(path)} was not written: ${reason}.`);
    return false;
  }
}

interface Guard {
  readonly force: boolean;
  readonly inputs: Iterable<string>;
}

async function writeFileAtomically(
  path: string,
  pieces: Iterable<string> | AsyncIterable<string>,
  guard: Guard,
): Promise<void> {
  const before = await refuseToReplace(path, guard);
  // A device or a pipe keeps its place.
  if (before && !before.isFile())
    return pipeline(Readable.from(pieces), (await open(path, 'w')).createWriteStream());
  const sameAsBefore = async (): Promise<void> => {
    const now = await refuseToReplace(path, guard);
    if (now && !(before && isSame(now, before)))
      throw new FileError(say`another file has come to this place in the meantime`);
  };
  await replaceWhole(path, pieces, before, sameAsBefore);
}

/**
 * Looks at what stands at a place.
 * @throws FileError when it must not be replaced: a link, what was read, and without `force` what is no print of ours
 */
async function refuseToReplace(path: string, { force, inputs }: Guard): Promise<Stats | undefined> {
  const [link, about] = await Promise.all([lstat(path), stat(path)].map((one) => one.catch(absent)));
  if (!link) return undefined;
  if (link.isSymbolicLink() && (!about || about.isFile()))
    throw new FileError(say`it is a link; name the file itself`);
  if (!about?.isFile()) return about;
  for (const input of inputs) {
    const read = await stat(input).catch(absent);
    if (read && isSame(read, about)) throw new FileError(say`the print was made from this file`);
  }
  if (!force && about.size > 0 && !isPrint(await beginningOf(path)))
    throw new FileError(
      say`a file that Plugward did not print is there; choose another name, or replace it with --force`,
    );
  return about;
}

/** One file under two names has one place on its disk. */
const isSame = (a: Stats, b: Stats): boolean => a.dev === b.dev && a.ino === b.ino;

function absent(error: NodeJS.ErrnoException): undefined {
  if (error.code !== 'ENOENT') throw error;
}

async function beginningOf(path: string): Promise<string> {
  const file = await open(path, constants.O_RDONLY);
  try {
    const { buffer, bytesRead } = await file.read(Buffer.alloc(4096), 0, 4096, 0);
    return buffer.toString('utf8', 0, bytesRead);
  } finally {
    await file.close();
  }
}
