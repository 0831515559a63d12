import type { ExtensionContext } from 'vscode';
import { commands, workspace } from 'vscode';
import type { LanguageClientOptions, ServerOptions } from 'vscode-languageclient/node';
import { LanguageClient, TransportKind } from 'vscode-languageclient/node';
import { explainFinding, linkToPage } from './explain.ts';
import { languages } from './languages.ts';
import { readFile } from './read-file.ts';

let client: LanguageClient | undefined;

export async function activate(context: ExtensionContext): Promise<void> {
  const running = createClient(context);
  client = running;
  context.subscriptions.push(
    commands.registerCommand('plugward.restart', () => running.restart()),
    commands.registerCommand('plugward.explain', (finding: unknown) =>
      explainFinding(context.extensionUri, finding),
    ),
    running.onRequest('plugward/readFile', readFile),
  );
  await running.start();
}

export async function deactivate(): Promise<void> {
  await client?.stop();
}

function createClient(context: ExtensionContext): LanguageClient {
  const module = context.asAbsolutePath('dist/server.js');
  const server: ServerOptions = {
    run: { module, transport: TransportKind.ipc },
    debug: { module, transport: TransportKind.ipc, options: { execArgv: ['--nolazy', '--inspect=6010'] } },
  };
  const options: LanguageClientOptions = {
    documentSelector: languages.map((language) => ({ language })),
    initializationOptions: { readsFiles: true, ...workspace.getConfiguration('plugward') },
    middleware: {
      handleDiagnostics(uri, diagnostics, next) {
        diagnostics.forEach(linkToPage);
        next(uri, diagnostics);
      },
    },
  };
  return new LanguageClient('plugward', 'Plugward', server, options);
}
