// The extension in a browser: the same server, in a worker.
import type { ExtensionContext } from 'vscode';
import { Uri } from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import { LanguageClient } from 'vscode-languageclient/browser';
import { start } from './start.ts';

/** The types of a browser and of Node do not mix, and this is all that is needed of the former. */
declare const Worker: new (script: string) => ConstructorParameters<typeof LanguageClient>[3];

let client: BaseLanguageClient | undefined;

export async function activate(context: ExtensionContext): Promise<void> {
  const script = Uri.joinPath(context.extensionUri, 'dist/web-server.js').toString(true);
  const worker = new Worker(script);
  client = await start(context, (options) => new LanguageClient('plugward', 'Plugward', options, worker));
}

export async function deactivate(): Promise<void> {
  await client?.stop();
}
