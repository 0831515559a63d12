import type { WorkspaceFolder } from 'vscode';
import { FileType, l10n, SnippetString, Uri, window, workspace } from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';

/** The kinds of file, with what is asked about a new one. */
const kinds = () =>
  [
    {
      suffix: 'repair-plan',
      label: l10n.t('Repair Plan'),
      detail: l10n.t('One vehicle, one repair: its steps, its labour and its material.'),
      prompt: l10n.t("The shop's number of this repair"),
      example: 'HL-0148',
      valid: /^[\w-]+$/,
      rule: l10n.t('Letters, digits and hyphens.'),
    },
    {
      suffix: 'shop-procedure',
      label: l10n.t('Shop Procedure'),
      detail: l10n.t('Steps that many plans follow, written once.'),
      prompt: l10n.t('The name by which plans follow it'),
      example: 'isolate-and-prove-dead',
      ...id(),
    },
    {
      suffix: 'connector-list',
      label: l10n.t('Connector List'),
      detail: l10n.t('The connectors of a vehicle family, with their classes and zones.'),
      prompt: l10n.t('The name of the vehicle family'),
      example: 'kestrel',
      ...id(),
    },
    {
      suffix: 'rate-sheet',
      label: l10n.t('Rate Sheet'),
      detail: l10n.t("The shop's rates, its own times and its consumables."),
      prompt: l10n.t('The name of the sheet'),
      example: 'harbour-lane',
      ...id(),
    },
  ] as const;

const id = () => ({
  valid: /^[a-z][a-z0-9]*(-[a-z0-9]+)*$/,
  rule: l10n.t('Lower-case letters, digits and hyphens; it begins with a letter.'),
});

/** Asks what, where and under which name, and opens the new file there with what every file of its kind needs. */
export async function newFile(client: BaseLanguageClient, wanted: unknown): Promise<void> {
  const kind =
    kinds().find((one) => one.suffix === wanted) ??
    (await window.showQuickPick(kinds(), { title: l10n.t('New file'), placeHolder: l10n.t('What is it?') }));
  if (!kind) return;
  const folder = await folderFor(wanted);
  if (folder === null) return;
  const fileOf = (name: string): Uri | undefined =>
    folder && Uri.joinPath(folder, `${name.toLowerCase()}.${kind.suffix}.yaml`);
  const name = await window.showInputBox({
    title: l10n.t('New file: {0}', kind.label),
    prompt: kind.prompt,
    placeHolder: kind.example,
    async validateInput(value) {
      if (!kind.valid.test(value)) return kind.rule;
      const file = fileOf(value);
      return file && (await isTaken(file))
        ? l10n.t(
            '{0} is there already. Choose another name.',
            file.path.slice(file.path.lastIndexOf('/') + 1),
          )
        : undefined;
    },
  });
  if (name === undefined) return;
  const file = fileOf(name);
  const { snippet } = await client.sendRequest<{ snippet: string }>('plugward/newFile', {
    kind: kind.suffix,
    name,
    folder: folder?.toString() ?? null,
  });
  // On disk from the start: paths under `uses:` are read from the folder of a file, and an unsaved one has none.
  if (file) await workspace.fs.writeFile(file, new Uint8Array());
  const opened = await workspace.openTextDocument(
    file ?? Uri.parse(`untitled:${name.toLowerCase()}.${kind.suffix}.yaml`),
  );
  const editor = await window.showTextDocument(opened);
  await editor.insertSnippet(new SnippetString(snippet));
}

/**
 * The folder that was asked about, or that of the file in front; of several workspace folders one is asked for.
 * @returns undefined without a folder, null when the question is put away
 */
async function folderFor(wanted: unknown): Promise<Uri | undefined | null> {
  if (wanted instanceof Uri) {
    const stat = await workspace.fs.stat(wanted).then(
      (found) => found,
      () => undefined,
    );
    return stat && stat.type & FileType.Directory ? wanted : Uri.joinPath(wanted, '..');
  }
  const front = window.activeTextEditor?.document.uri;
  if (front && workspace.getWorkspaceFolder(front))
    return Uri.joinPath(front, '..').with({ scheme: scheme(front) });
  const folders = workspace.workspaceFolders ?? [];
  if (folders.length < 2) return folders[0]?.uri;
  const picked: WorkspaceFolder | undefined = await window.showWorkspaceFolderPick({
    placeHolder: l10n.t('In which folder?'),
  });
  return picked ? picked.uri : null;
}

/** An unsaved file has the scheme of the folder in which it will lie. */
const scheme = (file: Uri): string =>
  file.scheme === 'untitled' ? (workspace.workspaceFolders?.[0]?.uri.scheme ?? file.scheme) : file.scheme;

async function isTaken(file: Uri): Promise<boolean> {
  if (workspace.textDocuments.some(({ uri }) => uri.path === file.path)) return true;
  return workspace.fs.stat(file).then(
    () => true,
    () => false,
  );
}
