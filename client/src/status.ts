import type { Disposable, Event } from 'vscode';
import { languages, StatusBarAlignment, ThemeColor, window, workspace } from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import { languages as ours } from './languages.ts';

/** Debounce in ms after a change before the server is asked. */
const quiet = 400;

interface Status {
  readonly text: string;
  readonly detail: string;
  readonly grave: boolean;
}

/**
 * Shows in the status bar how many findings the file in front has, and the money at stake in a plan.
 * @param changed that something has changed which the editor does not know of, as a sheet on disk
 */
export function registerStatus(client: BaseLanguageClient, changed: Event<void>): Disposable {
  const item = window.createStatusBarItem('plugward.status', StatusBarAlignment.Right, 100);
  item.name = 'Plugward';
  item.command = 'workbench.actions.view.problems';
  let timer: ReturnType<typeof setTimeout> | undefined;
  let asked = 0;

  async function draw(): Promise<void> {
    const document = window.activeTextEditor?.document;
    const mine = ++asked;
    if (!document || !(ours as readonly string[]).includes(document.languageId)) return item.hide();
    const uri = document.uri.toString();
    const status = client.isRunning()
      ? await client.sendRequest<Status | null>('plugward/status', { uri }).catch(() => null)
      : null;
    // A newer request is pending; drop this response.
    if (mine !== asked) return;
    if (!status) return item.hide();
    item.text = `$(plug) ${status.text}`;
    item.tooltip = status.detail;
    item.backgroundColor = status.grave ? new ThemeColor('statusBarItem.warningBackground') : undefined;
    item.show();
  }
  function soon(): void {
    clearTimeout(timer);
    timer = setTimeout(() => void draw(), quiet);
  }

  const subscriptions = [
    item,
    window.onDidChangeActiveTextEditor(soon),
    workspace.onDidChangeTextDocument(({ document }) => {
      // A sheet or a list that the plan uses may have changed too.
      if (document.languageId.startsWith('plugward-')) soon();
    }),
    languages.onDidChangeDiagnostics(soon),
    client.onDidChangeState(soon),
    changed(soon),
  ];
  soon();
  return {
    dispose() {
      clearTimeout(timer);
      for (const disposable of subscriptions) disposable.dispose();
    },
  };
}
