import { l10n, SnippetString, Uri, window, workspace } from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';

/** Asks where, and opens a new plan there with what every plan needs, ready to be filled in. */
export async function newPlan(client: BaseLanguageClient): Promise<void> {
  const folder = workspace.workspaceFolders?.[0]?.uri;
  const number = await window.showInputBox({
    title: l10n.t('New repair plan'),
    prompt: l10n.t("The shop's number of this repair"),
    placeHolder: 'HL-0148',
    validateInput: (value) => (/^[\w-]+$/.test(value) ? undefined : l10n.t('Letters, digits and hyphens.')),
  });
  if (number === undefined) return;
  const name = `${number.toLowerCase()}.repair-plan.yaml`;
  const file = folder
    ? Uri.joinPath(folder, name).with({ scheme: 'untitled' })
    : Uri.parse(`untitled:${name}`);
  const { snippet } = await client.sendRequest<{ snippet: string }>('plugward/newPlan', {
    number,
    folder: folder?.toString() ?? null,
  });
  const editor = await window.showTextDocument(await workspace.openTextDocument(file));
  await editor.insertSnippet(new SnippetString(snippet));
}
