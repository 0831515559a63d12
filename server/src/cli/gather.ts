import { dirname, join, relative, resolve, sep } from 'node:path';
import { stat } from 'node:fs/promises';
import { buffer } from 'node:stream/consumers';
import { URI } from 'vscode-uri';
import { kindOf } from '../document/kind.ts';
import { Workspace } from '../workspace/workspace.ts';
import { decode, liesIn, readText, reasonOf } from './files.ts';
import type { TextFile } from './files.ts';
import { findTargets, uriOf } from './targets.ts';
import type { Trouble } from './targets.ts';

/** One document that the command line asked for. */
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
  readonly trouble: Trouble[];
  /** The folders that were given, and those of the files that were given. */
  readonly folders: readonly string[];
  /** The name of a file as the person at the terminal knows it. */
  readonly name: (uri: string) => string;
}

const unknownKind =
  'it is no repair plan, shop procedure, connector list or rate sheet, neither by its name ' +
  '(such as NAME.repair-plan.yaml) nor by its first key (such as plan:)';

/** Reads the documents that PATHS name, and the files that those use. */
export async function gather(
  paths: readonly string[],
  standardInputName: string | undefined,
  cwd: string,
): Promise<Gathered> {
  const targets = await findTargets(paths, cwd);
  const trouble = [...targets.trouble];
  const workspace = new Workspace();
  const asked: Asked[] = [];
  const take = (one: Asked): void => {
    if (kindOf(one.uri, one.file.text)) {
      asked.push(one);
      workspace.set(one.uri, one.file.text);
    } else {
      trouble.push({ uri: one.uri, reason: unknownKind });
    }
  };

  const inputUri = uriOf(resolve(cwd, standardInputName ?? 'standard-input'));
  const folders = [...targets.folders];
  if (targets.standardInput) {
    if (standardInputName !== undefined) folders.push(dirname(resolve(cwd, standardInputName)));
    try {
      take({ uri: inputUri, file: decode(await buffer(process.stdin)) });
    } catch (error) {
      trouble.push({ uri: inputUri, reason: reasonOf(error) });
    }
  }
  for (const path of targets.files) {
    const uri = uriOf(path);
    // What comes from standard input stands for the file of its name.
    if (targets.standardInput && uri === inputUri) continue;
    try {
      take({ uri, path, file: await readText(path) });
    } catch (error) {
      trouble.push({ uri, reason: reasonOf(error) });
    }
  }

  await readUsed(workspace, [cwd, ...folders]);
  return {
    workspace,
    asked,
    trouble,
    folders,
    name: (uri) =>
      targets.standardInput && uri === inputUri && standardInputName === undefined
        ? 'standard input'
        : shownName(uri, cwd),
  };
}

/**
 * Reads what the documents use, and what that uses, as long as it lies in one of `folders`: a plan cannot make
 * the checker open a file elsewhere. What is not read is absent.
 */
async function readUsed(workspace: Workspace, folders: readonly string[]): Promise<void> {
  for (let wanted = workspace.wanted(); wanted.length > 0; wanted = workspace.wanted()) {
    for (const uri of wanted) {
      try {
        const { scheme, fsPath } = URI.parse(uri);
        if (scheme === 'file' && (await liesIn(fsPath, folders))) {
          workspace.set(uri, (await readText(fsPath)).text);
          continue;
        }
      } catch {
        // Missing or unreadable: absent, and the checker says so on the line that uses it.
      }
      workspace.markAbsent(uri);
    }
  }
}

/** Relative to `cwd` with forward slashes; the absolute path where that is shorter. */
export function shownName(uri: string, cwd: string): string {
  const path = URI.parse(uri).fsPath;
  const near = relative(cwd, path) || '.';
  return (near.length <= path.length ? near : path).split(sep).join('/');
}

/** The root of the repository around `cwd`, or `cwd` where there is none. */
export async function repositoryRoot(cwd: string): Promise<string> {
  for (let folder = cwd; ; folder = dirname(folder)) {
    if (await stat(join(folder, '.git')).catch(() => undefined)) return folder;
    if (dirname(folder) === folder) return cwd;
  }
}
