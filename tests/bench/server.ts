import { spawn } from 'node:child_process';
import type { ChildProcess } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import {
  createProtocolConnection,
  ProgressType,
  StreamMessageReader,
  StreamMessageWriter,
} from 'vscode-languageserver/node';
import type {
  ProtocolConnection,
  PublishDiagnosticsParams,
  WorkspaceDiagnosticReport,
} from 'vscode-languageserver/node';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { serverEnvironment } from '../../client/src/server-environment.ts';
import type { Edit } from './edits.ts';

/** A language server under measurement: requests and answers, nothing else. */
export class Server {
  readonly #documents = new Map<string, TextDocument>();
  readonly #resultIds = new Map<string, string>();
  #published: ((params: PublishDiagnosticsParams) => void) | undefined;

  private constructor(
    readonly process: ChildProcess,
    readonly connection: ProtocolConnection,
    /** Whether findings are asked for, and not waited for. */
    readonly pulls: boolean,
  ) {}

  static async start(
    command: readonly string[],
    folder: string,
    { pulls = false, options = {} }: { readonly pulls?: boolean; readonly options?: object } = {},
  ): Promise<Server> {
    const child = spawn(process.execPath, command, {
      stdio: ['pipe', 'pipe', 'ignore'],
      env: { ...process.env, ...serverEnvironment },
    });
    const connection = createProtocolConnection(
      new StreamMessageReader(child.stdout!),
      new StreamMessageWriter(child.stdin!),
    );
    const server = new Server(child, connection, pulls);
    connection.onNotification('textDocument/publishDiagnostics', (params: PublishDiagnosticsParams) =>
      server.#published?.(params),
    );
    connection.onRequest('workspace/configuration', ({ items }: { items: unknown[] }) =>
      items.map(() => null),
    );
    connection.onRequest('client/registerCapability', () => null);
    connection.onRequest('window/workDoneProgress/create', () => null);
    connection.listen();
    const rootUri = pathToFileURL(folder).toString();
    await connection.sendRequest('initialize', {
      processId: null,
      rootUri,
      workspaceFolders: [{ uri: rootUri, name: 'bench' }],
      capabilities: {
        textDocument: {
          publishDiagnostics: { versionSupport: true, relatedInformation: true },
          ...(pulls ? { diagnostic: {} } : {}),
          hover: { contentFormat: ['markdown'] },
          completion: { completionItem: { resolveSupport: { properties: ['documentation'] } } },
        },
        ...(pulls ? { workspace: { workspaceEdit: { documentChanges: true } } } : {}),
      },
      initializationOptions: { ...options, pullsDiagnostics: pulls },
    });
    await connection.sendNotification('initialized', {});
    return server;
  }

  /** Settles when diagnostics for `uri` (and this version, where the server tells versions) are published. */
  #findings(uri: string, version: number): Promise<void> {
    return new Promise((resolve) => {
      this.#published = (params) => {
        if (params.uri === uri && (params.version === undefined || params.version >= version)) resolve();
      };
    });
  }

  async open(uri: string, languageId: string, text: string): Promise<void> {
    const document = TextDocument.create(uri, languageId, 1, text);
    this.#documents.set(uri, document);
    const found = this.pulls ? undefined : this.#findings(uri, 1);
    await this.connection.sendNotification('textDocument/didOpen', {
      textDocument: { uri, languageId, version: 1, text },
    });
    await found;
  }

  text(uri: string): string {
    return this.#documents.get(uri)!.getText();
  }

  /**
   * Replaces `deleted` characters at `at` by `text` and waits for the findings of the new version, unless they are pulled.
   * @returns the time from the message to the findings, in ms
   */
  async edit(uri: string, { at, deleted, text }: Edit): Promise<number> {
    const document = this.#documents.get(uri)!;
    const range = { start: document.positionAt(at), end: document.positionAt(at + deleted) };
    const change = { range, text };
    const version = document.version + 1;
    this.#documents.set(uri, TextDocument.update(document, [change], version));
    const found = this.pulls ? undefined : this.#findings(uri, version);
    const start = performance.now();
    await this.connection.sendNotification('textDocument/didChange', {
      textDocument: { uri, version },
      contentChanges: [change],
    });
    await found;
    return performance.now() - start;
  }

  /** Asks for the findings of one file. */
  async pull(uri: string): Promise<unknown> {
    return this.connection.sendRequest('textDocument/diagnostic', { textDocument: { uri } });
  }

  /**
   * Asks once for the findings of all files, in portions as an editor does.
   * @returns how many files have new ones
   */
  async pullAll(): Promise<number> {
    const token = 'all';
    let full = 0;
    const take = ({ items }: WorkspaceDiagnosticReport): void => {
      for (const { kind, uri, resultId } of items) {
        if (kind === 'full') full++;
        if (resultId !== undefined) this.#resultIds.set(uri, resultId);
      }
    };
    const progress = this.connection.onProgress(new ProgressType<WorkspaceDiagnosticReport>(), token, take);
    const previousResultIds = [...this.#resultIds].map(([uri, value]) => ({ uri, value }));
    take(
      await this.connection.sendRequest<WorkspaceDiagnosticReport>('workspace/diagnostic', {
        previousResultIds,
        partialResultToken: token,
      }),
    );
    progress.dispose();
    return full;
  }

  async close(uri: string): Promise<void> {
    await this.connection.sendNotification('textDocument/didClose', { textDocument: { uri } });
  }

  async ask(method: string, uri: string, offset?: number): Promise<unknown> {
    const position = offset === undefined ? undefined : this.#documents.get(uri)!.positionAt(offset);
    return this.connection.sendRequest(method, { textDocument: { uri }, ...(position ? { position } : {}) });
  }

  /** Asks about as many lines as a window shows, from that of `offset` on. */
  async askOfScreen(method: string, uri: string, offset: number): Promise<unknown> {
    const { line } = this.#documents.get(uri)!.positionAt(offset);
    const range = { start: { line, character: 0 }, end: { line: line + 50, character: 0 } };
    return this.connection.sendRequest(method, { textDocument: { uri }, range });
  }

  /** Highest resident memory so far, in MiB (Linux). */
  peakMemory(): number {
    return (
      Number(/VmHWM:\s+(\d+)/.exec(readFileSync(`/proc/${this.process.pid}/status`, 'utf8'))?.[1]) / 1024
    );
  }

  async stop(): Promise<void> {
    const ended = new Promise((resolve) => this.process.once('exit', resolve));
    await this.connection.sendRequest('shutdown');
    await this.connection.sendNotification('exit');
    await ended;
    this.connection.dispose();
  }
}
