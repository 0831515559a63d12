import { commands, extensions, l10n, Uri, window, workspace } from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';

/** As much of the public interface of the built-in git extension as is used here (its version 1). */
interface GitExtension {
  readonly enabled: boolean;
  getAPI(version: 1): {
    getRepository(uri: Uri): Repository | null;
    openRepository?(root: Uri): Promise<Repository | null>;
  };
}
interface Repository {
  readonly rootUri: Uri;
  readonly state: { readonly HEAD?: { readonly commit?: string } | undefined };
  show(ref: string, path: string): Promise<string>;
  /** Reads the state anew. */
  status?(): Promise<void>;
}

/** Where the old version comes from. */
interface Old {
  /** As a person calls it. */
  readonly name: string;
  readonly uri: Uri;
  /** A text as it was; `null` where there was no such file or it may not be read. */
  text(file: Uri): Promise<string | null>;
}

type Answer = { readonly wants?: readonly string[]; readonly refused?: string } | null;

/** Compares the plan chosen or in front with the last commit of its repository. */
export async function compareCommitted(client: BaseLanguageClient, chosen?: unknown): Promise<boolean> {
  const plan = planOf(chosen);
  const old = plan && (await committed(plan));
  return plan !== undefined && old !== undefined && compareWith(client, plan, old);
}

/** Compares the plan chosen or in front with another file, which is asked for. */
export async function compareFile(client: BaseLanguageClient, chosen?: unknown): Promise<boolean> {
  const plan = planOf(chosen);
  if (!plan) return false;
  const [uri] =
    (await window.showOpenDialog({
      title: l10n.t('Compare with which file? It is taken for the older version.'),
      openLabel: l10n.t('Compare'),
      defaultUri: Uri.joinPath(plan, '..'),
      filters: { [l10n.t('Repair Plan')]: ['yaml', 'yml'] },
    })) ?? [];
  if (!uri) return false;
  const name = uri.path.slice(uri.path.lastIndexOf('/') + 1);
  const text = async (file: Uri): Promise<string | null> =>
    file.toString() === uri.toString() || workspace.getWorkspaceFolder(file) ? textOf(file) : null;
  return compareWith(client, plan, { name, uri, text });
}

/** Ends the comparison of the plan chosen or in front. */
export async function compareStop(client: BaseLanguageClient, chosen?: unknown): Promise<void> {
  const plan = planOf(chosen);
  if (!plan) return;
  await client.sendRequest('plugward/compareWith', { uri: plan.toString(), old: null });
  await commands.executeCommand('plugward.preview');
}

/** Asks what to compare with. */
export async function chooseOld(client: BaseLanguageClient, plan: Uri): Promise<boolean> {
  const commit = l10n.t('The last commit');
  const picked = await window.showQuickPick([commit, l10n.t('Another file…')], {
    title: l10n.t('Which version was settled before?'),
  });
  if (picked === undefined) return false;
  return picked === commit ? compareCommitted(client, plan) : compareFile(client, plan);
}

const planOf = (chosen: unknown): Uri | undefined =>
  chosen instanceof Uri ? chosen : window.activeTextEditor?.document.uri;

async function committed(plan: Uri): Promise<Old | undefined> {
  const warn = (words: string): undefined => void window.showWarningMessage(words);
  const extension = extensions.getExtension<GitExtension>('vscode.git');
  const git = await extension?.activate().then(
    (api) => api,
    () => undefined,
  );
  if (!git?.enabled)
    return warn(
      l10n.t(
        'The git extension of this editor is not there, or is switched off. Compare with another file instead.',
      ),
    );
  const api = git.getAPI(1);
  const repository =
    api.getRepository(plan) ?? (await api.openRepository?.(Uri.joinPath(plan, '..')).catch(() => null));
  if (!repository)
    return warn(l10n.t('This plan is in no git repository. Compare with another file instead.'));
  // A repository that was found a moment ago has not been read yet.
  if (repository.state.HEAD?.commit === undefined) await repository.status?.().catch(() => undefined);
  const commit = repository.state.HEAD?.commit;
  if (commit === undefined) return warn(l10n.t('The repository of this plan has no commit yet.'));
  const root = repository.rootUri.path.replace(/\/?$/, '/');
  const text = async (file: Uri): Promise<string | null> => {
    // What lies outside of the repository has no history: it is as it is.
    if (!file.path.startsWith(root)) return workspace.getWorkspaceFolder(file) ? textOf(file) : null;
    return repository.show(commit, file.fsPath).catch(() => null);
  };
  if ((await text(plan)) === null) return warn(l10n.t('The last commit does not hold this plan.'));
  return { name: l10n.t('the last commit ({0})', commit.slice(0, 8)), uri: plan, text };
}

const textOf = async (file: Uri): Promise<string | null> =>
  workspace.fs.readFile(file).then(
    (bytes) => new TextDecoder().decode(bytes),
    () => null,
  );

/** Files that use others, and those again: more rounds than any shop nests them. */
const maxRounds = 50;

async function compareWith(client: BaseLanguageClient, plan: Uri, old: Old): Promise<boolean> {
  // The server is told of a plan when it is opened; one that is chosen in the explorer may not be.
  await workspace.openTextDocument(plan);
  const texts = new Map([[old.uri.toString(), await old.text(old.uri)]]);
  for (let round = 0; round < maxRounds; round++) {
    const answer = await client.sendRequest<Answer>('plugward/compareWith', {
      uri: plan.toString(),
      old: { name: old.name, uri: old.uri.toString(), texts: Object.fromEntries(texts) },
    });
    if (answer?.wants) {
      for (const uri of answer.wants) texts.set(uri, await old.text(Uri.parse(uri)));
      continue;
    }
    if (!answer || answer.refused !== undefined) {
      void window.showWarningMessage(
        l10n.t('{0} cannot be compared: {1}.', old.name, answer?.refused ?? l10n.t('the server failed')),
      );
      return false;
    }
    if (window.activeTextEditor?.document.uri.toString() !== plan.toString())
      await window.showTextDocument(plan);
    await commands.executeCommand('plugward.preview');
    return true;
  }
  return false;
}
