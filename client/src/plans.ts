import type { Disposable, Event, TreeDataProvider } from 'vscode';
import {
  commands,
  EventEmitter,
  l10n,
  languages,
  ProgressLocation,
  ThemeColor,
  ThemeIcon,
  TreeItem,
  Uri,
  window,
} from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';

interface Plan {
  readonly uri: string;
  readonly name: string;
  readonly detail: string;
  readonly tooltip: string;
  readonly errors: number;
  readonly warnings: number;
  readonly isPartial: boolean;
}

interface Folder {
  readonly plans: readonly Plan[];
  readonly files: number;
  readonly errors: number;
  readonly findings: number;
  readonly unknown: number;
}

/** How long nothing must change before the plans are asked for anew. Unit: ms. */
const quiet = 1_500;

const ask = (client: BaseLanguageClient): Promise<Folder> => client.sendRequest<Folder>('plugward/plans', {});

/**
 * The view of all plans, worst first, with a badge that counts those with serious findings; and the command that checks the
 * whole folder.
 * @param changed that something has changed which the editor does not know of, as a sheet on disk
 */
export function registerPlans(client: BaseLanguageClient, changed: Event<void>): Disposable {
  const redrawn = new EventEmitter<void>();
  let plans: readonly Plan[] = [];
  const provider: TreeDataProvider<Plan> = {
    onDidChangeTreeData: redrawn.event,
    getChildren: (plan) => (plan ? [] : [...plans]),
    getTreeItem: toItem,
  };
  const view = window.createTreeView('plugward.plans', { treeDataProvider: provider });
  let timer: ReturnType<typeof setTimeout> | undefined;
  let asked = 0;

  async function draw(): Promise<void> {
    const mine = ++asked;
    if (!client.isRunning()) return;
    const folder = await ask(client).catch(() => undefined);
    // A newer request is pending; drop this response.
    if (mine === asked && folder) show(folder);
  }
  function show(folder: Folder): void {
    plans = folder.plans;
    redrawn.fire();
    const grave = plans.filter(({ errors, isPartial }) => errors > 0 || isPartial).length;
    view.badge =
      grave === 0
        ? undefined
        : {
            value: grave,
            tooltip: l10n.t('Plans with serious findings, or not fully checked: {0}', grave),
          };
    view.message =
      folder.unknown === 0
        ? undefined
        : l10n.t('Not read, and not in this list: {0}. The command line reads them all.', folder.unknown);
  }
  function soon(): void {
    clearTimeout(timer);
    timer = setTimeout(() => void draw(), quiet);
  }

  const subscriptions = [
    view,
    redrawn,
    languages.onDidChangeDiagnostics(soon),
    client.onDidChangeState(soon),
    changed(soon),
    commands.registerCommand('plugward.checkFolder', async () => {
      const folder = await window.withProgress(
        { location: ProgressLocation.Notification, title: l10n.t('Checking the whole folder') },
        () => ask(client),
      );
      asked++;
      show(folder);
      await commands.executeCommand('workbench.actions.view.problems');
      const { files, findings, errors, unknown } = folder;
      if (unknown > 0)
        void window.showWarningMessage(
          l10n.t(
            'Files checked: {0}. Findings: {1}, serious: {2}. Not read: {3}.',
            files,
            findings,
            errors,
            unknown,
          ),
        );
      else
        void window.showInformationMessage(
          l10n.t('Files checked: {0}. Findings: {1}, serious: {2}.', files, findings, errors),
        );
    }),
  ];
  soon();
  return {
    dispose() {
      clearTimeout(timer);
      for (const one of subscriptions) one.dispose();
    },
  };
}

function toItem({ uri, name, detail, tooltip, errors, warnings, isPartial }: Plan): TreeItem {
  const item = new TreeItem(name);
  item.description = detail;
  item.tooltip = tooltip;
  item.iconPath =
    errors > 0 || isPartial
      ? new ThemeIcon('error', new ThemeColor('list.errorForeground'))
      : warnings > 0
        ? new ThemeIcon('warning', new ThemeColor('list.warningForeground'))
        : new ThemeIcon('plug');
  item.accessibilityInformation = { label: `${name}: ${detail}` };
  item.command = { command: 'vscode.open', title: '', arguments: [Uri.parse(uri)] };
  return item;
}
