import { dirname, join, resolve } from 'node:path';
import { stat } from 'node:fs/promises';
import { buffer } from 'node:stream/consumers';
import { URI } from 'vscode-uri';
import { kindOf } from '../document/kind.ts';
import { Workspace } from '../workspace/workspace.ts';
import { diskSpelling } from '../disk/spelling.ts';
import { decode, liesIn, readTextFile } from './files.ts';
import { isOutside, reasonOf } from './reasons.ts';
import type { TextFile } from './files.ts';
import type { ShardFile } from '../report/listing/listing.ts';
import { inShard } from './shard.ts';
import type { Shard } from './shard.ts';
import { findTargets, shownPath, uriOf } from './targets.ts';
import type { Targets, FileFailure } from './targets.ts';

/** A document requested on the command line. */
interface Asked {
  readonly uri: string;
  /** Absent for standard input. */
  readonly path?: string;
  readonly file: TextFile;
}

interface Gathered {
  readonly workspace: Workspace;
  readonly asked: readonly Asked[];
  /** What could not be read; the caller may add to it. */
  readonly trouble: FileFailure[];
  /** The folders that were given, and those of the files that were given. */
  readonly folders: readonly string[];
  /** The name of a file as the person at the terminal knows it. */
  readonly name: (uri: string) => string;
}

const unknownKind =
  'it is no repair plan, shop procedure, connector list or rate sheet, neither by its name ' +
  '(such as NAME.repair-plan.yaml) nor by its first key (such as plan:)';

/** Reads the documents that PATHS name, and the files that those use. */
export async function loadDocuments(
  paths: readonly string[],
  standardInputName: string | undefined,
  cwd: string,
): Promise<Gathered> {
  return gatherTargets(await findTargets(paths, cwd), standardInputName, cwd);
}

export async function gatherTargets(
  targets: Targets,
  standardInputName: string | undefined,
  cwd: string,
): Promise<Gathered> {
  const trouble = [...targets.trouble];
  const workspace = new Workspace();
  const asked: Asked[] = [];
  for await (const one of documents(targets, standardInputName, cwd, trouble)) {
    asked.push(one);
    workspace.set(one.uri, one.file.text);
  }
  const folders = foldersOf(targets, standardInputName, cwd);
  await readUsed(workspace, onDisk({ folders: [cwd, ...folders] }), tellOnce(trouble));
  return { workspace, asked, trouble, folders, name: namesFor(targets, standardInputName, cwd) };
}

/** A stream of documents, for commands that read each only once. */
interface DocumentStream {
  readonly workspace: Workspace;
  /** How many there are, those that cannot be read included. */
  readonly count: number;
  /** What could not be read so far. */
  readonly trouble: readonly FileFailure[];
  readonly name: (uri: string) => string;
  /** Each is in the workspace, with what it uses, while it is the one at hand; a plan is forgotten after that. */
  readonly uris: AsyncIterable<string>;
  /** Paths of all that was named or read so far. */
  inputs(): Iterable<string>;
  /** Of a part of a run: its files, and how many the whole has. */
  readonly part: { readonly files: readonly ShardFile[]; readonly total: number } | undefined;
}

/** Like `loadDocuments`, but memory does not grow with the number of plans. */
export async function streamDocuments(
  paths: readonly string[],
  cwd: string,
  shard: Shard | undefined,
): Promise<DocumentStream> {
  const all = await findTargets(paths, cwd);
  const part = shard && inShard(all, shard, cwd);
  const targets = part?.targets ?? all;
  const trouble = [...targets.trouble];
  const workspace = new Workspace();
  const folders = [cwd, ...foldersOf(targets, undefined, cwd)];
  async function* pass(): AsyncGenerator<string> {
    for await (const { uri, file } of documents(targets, undefined, cwd, trouble)) {
      await addWithUses(workspace, uri, file.text, { folders }, tellOnce(trouble));
      yield uri;
      removeIfPlan(workspace, uri);
    }
  }
  return {
    workspace,
    count: targets.files.length + (targets.standardInput ? 1 : 0),
    trouble,
    name: namesFor(targets, undefined, cwd),
    uris: pass(),
    inputs: () => new Set([...targets.files, ...pathsIn(workspace)]),
    part: part && { files: part.files, total: all.files.length },
  };
}

/** Paths of all files that a workspace holds, and of the photographs that its plans name. */
function* pathsIn(workspace: Workspace): Generator<string> {
  for (const uri of [...workspace.uris, ...workspace.photos]) {
    const { scheme, fsPath } = URI.parse(uri);
    if (scheme === 'file') yield fsPath;
  }
}

/** Paths of all that was read. */
export const inputsOf = ({ workspace }: Pick<Gathered, 'workspace'>): Iterable<string> => pathsIn(workspace);

/** Puts a document and what it uses into the workspace. */
async function addWithUses(
  workspace: Workspace,
  uri: string,
  text: string,
  readable: Readable,
  tell?: Tell,
): Promise<void> {
  workspace.set(uri, text);
  await readUsed(workspace, onDisk(readable), tell);
}

/** Takes out a document that was dealt with. Lists, sheets and procedures stay: the next plan uses them too. */
export function removeIfPlan(workspace: Workspace, uri: string): void {
  if (workspace.document(uri)?.kind === 'repair-plan') workspace.remove(uri);
}

/** The readable documents of known kind among the targets; the rest goes to `trouble`. */
async function* documents(
  targets: Targets,
  standardInputName: string | undefined,
  cwd: string,
  trouble: FileFailure[],
): AsyncGenerator<Asked> {
  const read = async (
    uri: string,
    from: () => TextFile | Promise<TextFile>,
  ): Promise<TextFile | undefined> => {
    const read = await readDocumentFile(uri, from);
    if ('bytes' in read) return read;
    trouble.push(read);
    return undefined;
  };
  const inputUri = inputUriOf(standardInputName, cwd);
  if (targets.standardInput) {
    const file = await read(inputUri, async () => decode(await buffer(process.stdin)));
    if (file) yield { uri: inputUri, file };
  }
  for (const path of targets.files) {
    const uri = uriOf(path);
    // Standard input replaces the file of the same name.
    if (targets.standardInput && uri === inputUri) continue;
    const file = await read(uri, () => readTextFile(path));
    if (file) yield { uri, path, file };
  }
}

/** Reads a document, or returns the reason it cannot be used. */
export async function readDocumentFile(
  uri: string,
  from: () => TextFile | Promise<TextFile>,
): Promise<TextFile | FileFailure> {
  try {
    const file = await from();
    return kindOf(uri, file.text) ? file : { uri, reason: unknownKind };
  } catch (error) {
    return { uri, reason: reasonOf(error) };
  }
}

export const inputUriOf = (standardInputName: string | undefined, cwd: string): string =>
  uriOf(resolve(cwd, standardInputName ?? 'standard-input'));

/** The folders that were given, and those of the files that were given. */
export const foldersOf = (targets: Targets, standardInputName: string | undefined, cwd: string): string[] => [
  ...targets.folders,
  ...(targets.standardInput && standardInputName !== undefined
    ? [dirname(resolve(cwd, standardInputName))]
    : []),
];

export const namesFor =
  (targets: Targets, standardInputName: string | undefined, cwd: string) =>
  (uri: string): string =>
    targets.standardInput && standardInputName === undefined && uri === inputUriOf(undefined, cwd)
      ? 'standard input'
      : shownName(uri, cwd);

/** What may be read because a document uses it: a plan cannot make the checker open a file elsewhere. */
interface Readable {
  readonly folders: readonly string[];
  /** Whether the file was named directly, wherever it is. */
  readonly asked?: (uri: string) => boolean;
}

/** Where texts come from: the disk, or an earlier revision of a repository. */
export interface TextSource {
  /** The text of a file that may be read; undefined, or an error, for what is missing or may not be. */
  text(uri: string): Promise<string | undefined>;
  /** The address of a file that differs from this one in spelling only, where there is none of this name. */
  spelling(uri: string): Promise<string | undefined>;
  /** Whether there is such a file. */
  has(uri: string): Promise<boolean>;
}

/** The disk, as far as it may be read. */
export const onDisk = ({ folders, asked }: Readable): TextSource => ({
  async text(uri) {
    const { scheme, fsPath } = URI.parse(uri);
    const mayBeRead = scheme === 'file' && (asked?.(uri) || (await liesIn(fsPath, folders)));
    return mayBeRead ? readTextFile(fsPath).text : undefined;
  },
  async spelling(uri) {
    const { scheme, fsPath } = URI.parse(uri);
    const file = scheme === 'file' ? await diskSpelling(fsPath) : undefined;
    return file === undefined ? undefined : uriOf(file);
  },
  async has(uri) {
    const { scheme, fsPath } = URI.parse(uri);
    return scheme === 'file' && (await liesIn(fsPath, folders)) && (await stat(fsPath)).isFile();
  },
});

type Tell = (failure: FileFailure) => void;

/** Adds to a list of failures what is not told there yet. */
export const tellOnce =
  (trouble: FileFailure[]): Tell =>
  (failure) => {
    if (!trouble.some(({ uri }) => uri === failure.uri)) trouble.push(failure);
  };

/** Whether an error says that a file is not there; the checker tells that itself, on the line that uses the file. */
const isMissing = ({ code }: NodeJS.ErrnoException): boolean => code === 'ENOENT' || code === 'ENOTDIR';

/**
 * Reads what the documents use, and what that uses, as long as it may be read. What is not read is absent. Photographs
 * are looked for where they may lie, and not read.
 * @param tell is told of a file that is there and cannot be read: "missing" alone would send somebody the wrong way
 */
export async function readUsed(workspace: Workspace, source: TextSource, tell?: Tell): Promise<void> {
  for (let wanted = workspace.missingFiles(); wanted.length > 0; wanted = workspace.missingFiles()) {
    for (const uri of wanted) {
      // Missing or unreadable: absent, and the checker says so on the line that uses it.
      const called = (await source.spelling(uri)) ?? uri;
      const text =
        workspace.text(called) ??
        (await source.text(called).catch((error: unknown) => {
          if (isOutside(error) && !isMissing(error as NodeJS.ErrnoException))
            tell?.({ uri: called, reason: reasonOf(error) });
          return undefined;
        }));
      if (called !== uri || text === undefined) workspace.markAbsent(uri);
      if (text !== undefined) workspace.set(called, text);
    }
  }
  for (const uri of workspace.unknownPhotos()) {
    workspace.markPhoto(uri, await source.has(uri).catch(() => false));
  }
}

/** How a file is called at the terminal. */
export const shownName = (uri: string, cwd: string): string => shownPath(URI.parse(uri).fsPath, cwd);

/** The root of the repository around `cwd`, or `cwd` where there is none. */
export async function repositoryRoot(cwd: string): Promise<string> {
  for (let folder = cwd; ; folder = dirname(folder)) {
    if (await stat(join(folder, '.git')).catch(() => undefined)) return folder;
    if (dirname(folder) === folder) return cwd;
  }
}
