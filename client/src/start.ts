import type { ExtensionContext, WorkspaceConfiguration } from 'vscode';
import { commands, EventEmitter, workspace } from 'vscode';
import type { BaseLanguageClient, LanguageClientOptions } from 'vscode-languageclient';
import { vsdiag } from 'vscode-languageclient';
import { compareCommitted, compareFile, compareStop } from './compare.ts';
import { explainFinding, linkToPage, registerPages, showHeat } from './explain.ts';
import { keepAlive } from './keep-alive.ts';
import { languages } from './languages.ts';
import { newFile } from './new-file.ts';
import { openSample } from './open-sample.ts';
import { registerPlans } from './plans.ts';
import { registerPreview } from './preview.ts';
import { areThere, findFiles, readFile, readPhoto } from './read-file.ts';
import { savePrint } from './save-print.ts';
import { serverOptions } from './server-options.ts';
import { showDocument } from './show-document.ts';
import { showPlaces } from './show-places.ts';
import { registerStatus } from './status.ts';
import { quietWhileStopped } from './while-stopped.ts';

/**
 * Starts the client that `create` makes, and offers the commands; the same in the desktop and in a browser.
 * @param server what the server has to know where it runs
 */
export async function start(
  context: ExtensionContext,
  create: (options: LanguageClientOptions) => BaseLanguageClient,
  server: Readonly<Record<string, string>> = {},
): Promise<BaseLanguageClient> {
  const client: BaseLanguageClient = create({
    documentSelector: languages.map((language) => ({ language })),
    initializationOptions: serverOptions(plain(workspace.getConfiguration('plugward')), server),
    errorHandler: keepAlive(() => client),
    // Hovers link to this command of ours, and to none that a text names.
    markdown: { isTrusted: { enabledCommands: ['plugward.heat'] } },
    middleware: {
      window: { showDocument: (params) => showDocument(params) },
      handleDiagnostics(uri, diagnostics, next) {
        diagnostics.forEach(linkToPage);
        next(uri, diagnostics);
      },
      async provideDiagnostics(document, previousResultId, token, next) {
        const report = await next(document, previousResultId, token);
        if (report?.kind === vsdiag.DocumentDiagnosticReportKind.full) report.items.forEach(linkToPage);
        return report;
      },
      provideWorkspaceDiagnostics(resultIds, token, resultReporter, next) {
        return next(resultIds, token, (chunk) => {
          for (const report of chunk?.items ?? []) {
            if (report.kind === vsdiag.DocumentDiagnosticReportKind.full) report.items.forEach(linkToPage);
          }
          resultReporter(chunk);
        });
      },
    },
  });
  quietWhileStopped(client);
  const changes = new EventEmitter<void>();
  context.subscriptions.push(
    commands.registerCommand('plugward.restart', async () => {
      // Abandon a server that does not exit when told to.
      if (client.isRunning()) await client.stop().catch(() => undefined);
      await client.start();
    }),
    commands.registerCommand('plugward.explain', (finding: unknown) => explainFinding(client, finding)),
    commands.registerCommand('plugward.heat', showHeat),
    commands.registerCommand('plugward.new', (wanted: unknown) => newFile(client, wanted)),
    commands.registerCommand('plugward.openSample', () => openSample(context)),
    commands.registerCommand('plugward.savePrint', (plan: unknown) => savePrint(client, plan)),
    commands.registerCommand('plugward.compareCommitted', (plan: unknown) => compareCommitted(client, plan)),
    commands.registerCommand('plugward.compareFile', (plan: unknown) => compareFile(client, plan)),
    commands.registerCommand('plugward.compareStop', (plan: unknown) => compareStop(client, plan)),
    commands.registerCommand('plugward.showPlaces', showPlaces),
    registerPages(client),
    changes,
    client.onNotification('plugward/changed', () => changes.fire()),
    registerPreview(client, changes.event),
    registerStatus(client, changes.event),
    registerPlans(client, changes.event),
    client.onRequest('plugward/readFile', readFile),
    client.onRequest('plugward/findFiles', findFiles),
    client.onRequest('plugward/areThere', areThere),
    client.onRequest('plugward/readPhoto', readPhoto),
  );
  await client.start();
  return client;
}

/** Settings without the editor's functions beside them, which cannot be sent to a worker. */
function plain(settings: WorkspaceConfiguration): object {
  return JSON.parse(JSON.stringify(settings)) as object;
}
