import type { ExtensionContext } from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import type { ServerOptions } from 'vscode-languageclient/node';
import { LanguageClient, TransportKind } from 'vscode-languageclient/node';
import { registerAssistantTools } from './assistant.ts';
import { registerCheckTask } from './check-task.ts';
import { serverEnvironment } from './server-environment.ts';
import { start } from './start.ts';

let client: BaseLanguageClient | undefined;

export async function activate(context: ExtensionContext): Promise<void> {
  context.subscriptions.push(registerCheckTask(context), ...registerAssistantTools(context));
  const module = context.asAbsolutePath('dist/server.js');
  const transport = TransportKind.stdio;
  const env = serverEnvironment;
  const server: ServerOptions = {
    run: { module, transport, options: { env } },
    debug: { module, transport, options: { env, execArgv: ['--nolazy', '--inspect=6010'] } },
  };
  client = await start(
    context,
    (options) => new LanguageClient('plugward', 'Plugward', server, options),
    // The editor's own folder for this workspace, outside of it.
    context.storageUri ? { cacheFolder: context.storageUri.toString() } : {},
  );
}

export async function deactivate(): Promise<void> {
  await client?.stop();
}
