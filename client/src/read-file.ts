import { Uri, workspace } from 'vscode';

const documents = '**/*.{repair-plan,shop-procedure,connector-list,rate-sheet}.{yaml,yml}';

/** The plans, procedures, lists and sheets of the workspace, for the server, which can look only at its own disk. */
export async function findFiles({ most }: { most: number }): Promise<{ uris: string[] }> {
  const found = await workspace.findFiles(documents, '**/node_modules/**', most);
  return { uris: found.map((uri) => uri.toString()) };
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
