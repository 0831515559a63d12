import type { ExtensionContext } from 'vscode';
import { commands, FileType, l10n, Uri, window, workspace } from 'vscode';

const folderName = 'plugward-sample';
const first = 'quarter-panel-faulty.repair-plan.yaml';

/** Copies the invented sample repair into a folder of one's choice, never over anything, and opens it. */
export async function openSample({ extensionUri }: ExtensionContext): Promise<void> {
  const [parent] =
    (await window.showOpenDialog({
      canSelectFiles: false,
      canSelectFolders: true,
      title: l10n.t('Where to put the sample repair'),
      openLabel: l10n.t('Copy here'),
    })) ?? [];
  if (!parent) return;
  const target = await freeName(parent);
  await copy(Uri.joinPath(extensionUri, 'samples'), target);
  const plan = Uri.joinPath(target, first);
  if (workspace.getWorkspaceFolder(target)) {
    await window.showTextDocument(plan);
    return;
  }
  const open = l10n.t('Open folder');
  const name = target.path.slice(target.path.lastIndexOf('/') + 1);
  const choice = await window.showInformationMessage(l10n.t('The sample repair is in {0}.', name), open);
  if (choice === open) await commands.executeCommand('vscode.openFolder', target);
}

async function freeName(parent: Uri): Promise<Uri> {
  const taken = new Set((await workspace.fs.readDirectory(parent)).map(([name]) => name));
  let name = folderName;
  for (let n = 2; taken.has(name); n++) name = `${folderName}-${n}`;
  return Uri.joinPath(parent, name);
}

/** File by file: what the extension lies on may know how to read, and no more. */
async function copy(from: Uri, to: Uri): Promise<void> {
  await workspace.fs.createDirectory(to);
  for (const [name, type] of await workspace.fs.readDirectory(from)) {
    const [inner, outer] = [Uri.joinPath(from, name), Uri.joinPath(to, name)];
    if (type === FileType.Directory) await copy(inner, outer);
    else await workspace.fs.writeFile(outer, await workspace.fs.readFile(inner));
  }
}
