import { Uri, workspace } from 'vscode';

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
