import { FileSystemError, FileType, RelativePattern, Uri, workspace } from 'vscode';

const documents = '**/*.{repair-plan,shop-procedure,connector-list,rate-sheet}.{yaml,yml}';
const document = /\.(repair-plan|shop-procedure|connector-list|rate-sheet)\.ya?ml$/;

/** Whether it is a plan, a procedure, a list or a sheet by its name. */
export const isOurs = ({ path }: Uri): boolean => document.test(path);

/** Maximum number of folders visited if the editor has no search of its own. */
const maxFolders = 5_000;

/** The plans, procedures, lists and sheets of the workspace, for the server, which can look only at its own disk. */
export async function findFiles({ max }: { max: number }): Promise<{ uris: string[] }> {
  const uris: string[] = [];
  for (const { uri } of workspace.workspaceFolders ?? []) {
    const found = searched.has(uri.scheme)
      ? await workspace.findFiles(
          new RelativePattern(uri, documents),
          '**/node_modules/**',
          max - uris.length,
        )
      : await walk(uri, max - uris.length);
    uris.push(...found.map((file) => file.toString()));
    if (uris.length >= max) break;
  }
  return { uris };
}

/**
 * Schemes with a search provider. Elsewhere `findFiles` would wait, possibly for ever, for one to be
 * registered.
 */
const searched: ReadonlySet<string> = new Set(['file', 'vscode-remote']);

async function walk(root: Uri, max: number): Promise<Uri[]> {
  const files: Uri[] = [];
  const folders = [root];
  for (let looked = 0; looked < folders.length && looked < maxFolders; looked++) {
    const folder = folders[looked]!;
    const entries = await workspace.fs.readDirectory(folder).then(
      (found) => found,
      () => [],
    );
    for (const [name, type] of entries) {
      if (type & FileType.SymbolicLink) continue;
      if (type === FileType.Directory && !name.startsWith('.') && name !== 'node_modules') {
        folders.push(Uri.joinPath(folder, name));
      } else if (type === FileType.File && document.test(name)) {
        files.push(Uri.joinPath(folder, name));
        if (files.length >= max) return files;
      }
    }
  }
  return files;
}

/** Whether files of the workspace exist; `null` for a file if that is unknown. */
export async function areThere({ uris }: { uris: string[] }): Promise<{ there: (boolean | null)[] }> {
  return { there: await Promise.all(uris.map(async (uri) => isThere(Uri.parse(uri)))) };
}

async function isThere(file: Uri): Promise<boolean | null> {
  if (!workspace.getWorkspaceFolder(file)) return false;
  try {
    return ((await workspace.fs.stat(file)).type & FileType.File) !== 0;
  } catch (error) {
    return error instanceof FileSystemError && error.code === 'FileNotFound' ? false : null;
  }
}

/** Reads a photograph for a print, unless it is larger than `max` bytes. */
export async function readPhoto({
  uri,
  max,
}: {
  uri: string;
  max: number;
}): Promise<{ base64: string | null; size: number | null }> {
  const file = Uri.parse(uri);
  if (!workspace.getWorkspaceFolder(file)) return { base64: null, size: null };
  try {
    const { size } = await workspace.fs.stat(file);
    if (size > max) return { base64: null, size };
    const bytes = await workspace.fs.readFile(file);
    const signs = Array.from(bytes, (byte) => String.fromCharCode(byte));
    return { base64: btoa(signs.join('')), size };
  } catch {
    return { base64: null, size: null };
  }
}

/** Reads a file of the workspace for the server, which can reach only those on its own disk. */
export async function readFile({ uri }: { uri: string }): Promise<{ text: string | null }> {
  const file = Uri.parse(uri);
  if (!workspace.getWorkspaceFolder(file)) return { text: null };
  try {
    return { text: new TextDecoder().decode(await workspace.fs.readFile(file)) };
  } catch {
    return { text: null };
  }
}
