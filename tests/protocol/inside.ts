import { PassThrough } from 'node:stream';
import {
  createConnection,
  createProtocolConnection,
  StreamMessageReader,
  StreamMessageWriter,
} from 'vscode-languageserver/node';
import type {
  ProtocolConnection,
  PublishDiagnosticsParams,
  ShowMessageParams,
} from 'vscode-languageserver/node';
import type { FileSource, Host } from '../../server/src/lsp/host.ts';
import { nodeFiles } from '../../server/src/lsp/node-files.ts';
import { DeferredWork, runBeforeMessages, serve } from '../../server/src/lsp/serve.ts';
import { fileUri } from './client.ts';

interface Inside {
  readonly client: ProtocolConnection;
  readonly published: PublishDiagnosticsParams[];
  /** What was shown on the screen. */
  readonly shown: ShowMessageParams[];
}

/** A server in this process, so that its parts can be made to fail, and its limits can be set. */
export async function startInside(options: {
  readonly pulls: boolean;
  readonly folder?: string;
  readonly maxText?: number;
  readonly maxListed?: number;
  readonly files?: FileSource;
  readonly today?: string;
  readonly cacheIn?: Host['cacheIn'];
  readonly expectGarbage?: Host['expectGarbage'];
  readonly options?: object;
}): Promise<Inside> {
  const { pulls, folder, maxText, maxListed, files = nodeFiles, today = '2027-02-10' } = options;
  const { cacheIn, expectGarbage } = options;
  const [up, down] = [new PassThrough(), new PassThrough()];
  const deferred = new DeferredWork();
  const connection = createConnection(new StreamMessageReader(up), new StreamMessageWriter(down), {
    messageStrategy: runBeforeMessages(deferred),
  });
  const host = {
    files,
    today: () => today,
    pageOf: () => undefined,
    turn: (): Promise<void> => new Promise((resolve) => setImmediate(resolve)),
    ...(maxText === undefined ? {} : { maxText }),
    ...(maxListed === undefined ? {} : { maxListed }),
    ...(cacheIn && { cacheIn }),
    ...(expectGarbage && { expectGarbage }),
  };
  serve(connection, host, 'test', deferred);
  const client = createProtocolConnection(new StreamMessageReader(down), new StreamMessageWriter(up));
  const published: PublishDiagnosticsParams[] = [];
  const shown: ShowMessageParams[] = [];
  client.onNotification(
    'textDocument/publishDiagnostics',
    (params: PublishDiagnosticsParams) => void published.push(params),
  );
  client.onNotification('window/showMessage', (params: ShowMessageParams) => void shown.push(params));
  client.listen();
  await client.sendRequest('initialize', {
    processId: null,
    rootUri: null,
    workspaceFolders: folder === undefined ? null : [{ uri: fileUri(folder), name: 'folder' }],
    capabilities: {
      textDocument: { diagnostic: {} },
      workspace: { workspaceEdit: { documentChanges: true } },
    },
    initializationOptions: { ...options.options, pullsDiagnostics: pulls },
  });
  await client.sendNotification('initialized', {});
  return { client, published, shown };
}
