import { commands, env, l10n, UIKind, Uri, window, workspace } from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import { chooseOld } from './compare.ts';
import { isOurs } from './read-file.ts';

const prints = () =>
  [
    {
      print: 'job-card',
      label: l10n.t('Job card'),
      detail: l10n.t('For the technician: the steps in order, a tag for every connector.'),
    },
    {
      print: 'estimate',
      label: l10n.t('Estimate'),
      detail: l10n.t('For the payer: lines, references, totals, photographs.'),
    },
    {
      print: 'supplement',
      label: l10n.t('Supplement'),
      detail: l10n.t('For the payer: the lines that changed since an earlier version, and the difference.'),
    },
    {
      print: 'reasons',
      label: l10n.t('Reasons'),
      detail: l10n.t('For the payer: why each claimed line is owed, and what shows it.'),
    },
    {
      print: 'owed',
      label: l10n.t('Not yet billed'),
      detail: l10n.t('For the shop alone: work and material without a line.'),
    },
    {
      print: 'review',
      label: l10n.t('Review'),
      detail: l10n.t('For the lead technician: findings, timeline, heat, sign-offs.'),
    },
  ] as const;

/** Asks which print of the plan chosen or in front and where to, writes it there, and offers to open it. */
export async function savePrint(client: BaseLanguageClient, chosen?: unknown): Promise<void> {
  const plan = chosen instanceof Uri ? chosen : window.activeTextEditor?.document.uri;
  if (!plan) return;
  // The server is told of a plan when it is opened; one that is chosen in the explorer may not be.
  await workspace.openTextDocument(plan);
  const picked = await window.showQuickPick(prints(), {
    title: l10n.t('Save print'),
    placeHolder: l10n.t('Which print of this plan?'),
  });
  if (!picked) return;
  if (picked.print === 'supplement' && !(await chooseOld(client, plan))) return;
  const answer = await client.sendRequest<{ html: string; name: string } | null>('plugward/print', {
    uri: plan.toString(),
    kind: picked.print,
  });
  if (!answer) {
    void window.showWarningMessage(
      l10n.t('There is nothing to print: this file is not a readable repair plan.'),
    );
    return;
  }
  const folder = plan.scheme === 'untitled' ? workspace.workspaceFolders?.[0]?.uri : Uri.joinPath(plan, '..');
  const file = await window.showSaveDialog({
    title: l10n.t('Save print: {0}', picked.label),
    filters: { [l10n.t('Web page')]: ['html'] },
    ...(folder && { defaultUri: Uri.joinPath(folder, answer.name) }),
  });
  if (!file) return;
  if (isOurs(file)) {
    void window.showErrorMessage(
      l10n.t('That is the name of a plan, procedure, list or sheet. Choose another name for the print.'),
    );
    return;
  }
  await workspace.fs.writeFile(file, new TextEncoder().encode(answer.html));
  const name = file.path.slice(file.path.lastIndexOf('/') + 1);
  const choice = await window.showInformationMessage(
    l10n.t('{0} saved as {1}.', picked.label, name),
    l10n.t('Open'),
  );
  if (choice === undefined) return;
  // A browser opens a page of this machine's disk; one that lies elsewhere is shown as text, here.
  const near = file.scheme === 'file' && env.uiKind === UIKind.Desktop && env.remoteName === undefined;
  if (near) await env.openExternal(file);
  else await commands.executeCommand('vscode.open', file);
}
