// The extension in a browser: the same server, in a worker.
import type { ExtensionContext } from 'vscode';
import { Uri } from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import { BrowserMessageReader, BrowserMessageWriter, LanguageClient } from 'vscode-languageclient/browser';
import { start } from './start.ts';

/** As much of a browser's worker as is used here; the types of a browser and of Node do not mix. */
type ServerWorker = ConstructorParameters<typeof BrowserMessageReader>[0] & { terminate(): void };
declare const Worker: new (script: string) => ServerWorker;

let client: BaseLanguageClient | undefined;
let worker: ServerWorker | undefined;

export async function activate(context: ExtensionContext): Promise<void> {
  const built = (file: string) => Uri.joinPath(context.extensionUri, 'dist', file).toString(true);
  const script = built('server.js');
  // A worker for every start. Wrapped, because in an editor's worker the result of `new Worker` is not an
  // instance of `Worker`, and the library would take it for something else.
  const server = async () => {
    worker?.terminate();
    worker = new Worker(script);
    return { reader: new BrowserMessageReader(worker), writer: new BrowserMessageWriter(worker) };
  };
  client = await start(
    context,
    (options) => new LanguageClient('plugward', 'Plugward', server, options),
    // The worker may not know where it was loaded from.
    { core: built('core.js') },
  );
}

export async function deactivate(): Promise<void> {
  await client?.stop();
  worker?.terminate();
}
