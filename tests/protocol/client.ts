import type { ChildProcess } from 'node:child_process';
import { spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import type {
  ClientCapabilities,
  CodeAction,
  CodeActionContext,
  Diagnostic,
  InitializeResult,
  ProtocolConnection,
  PublishDiagnosticsParams,
  Range,
  TextDocumentContentChangeEvent,
} from 'vscode-languageserver/node';
import {
  createProtocolConnection,
  StreamMessageReader,
  StreamMessageWriter,
} from 'vscode-languageserver/node';

/** What a current editor says it can do, as far as this server looks at it. */
export const ableClient: ClientCapabilities = {
  workspace: {
    workspaceFolders: true,
    workspaceEdit: { documentChanges: true },
    didChangeWatchedFiles: { dynamicRegistration: true },
  },
  textDocument: {
    publishDiagnostics: { relatedInformation: true, versionSupport: true },
    hover: { contentFormat: ['markdown'] },
    codeAction: { resolveSupport: { properties: ['edit'] } },
  },
};

interface Answer {
  readonly result?: unknown;
  readonly error?: { readonly code: number; readonly message: string };
}

/** Peak memory of a client's server; undefined where the system does not tell (Linux, proc(5)). Unit: MB. */
export function peakMemory({ process: { pid } }: TestClient): number | undefined {
  try {
    const found = /VmHWM:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid!}/status`, 'utf8'));
    return found ? Math.round(Number(found[1]) / 1024) : undefined;
  } catch {
    return undefined;
  }
}

/** A client of the built server, speaking LSP over its standard streams. */
export class TestClient {
  readonly connection: ProtocolConnection;
  readonly process: ChildProcess;
  readonly published: PublishDiagnosticsParams[] = [];
  readonly errors: string[] = [];
  readonly registered: string[] = [];
  readonly ended: Promise<number | null>;
  initialized!: InitializeResult;
  #waiting: (() => void)[] = [];
  readonly #answers = new Map<string, (answer: Answer) => void>();

  /** A server that has not been spoken to yet. */
  constructor(
    env: NodeJS.ProcessEnv = process.env,
    [program, ...args]: readonly string[] = [process.execPath],
  ) {
    this.process = spawn(program!, [...args, 'dist/server.js', '--stdio'], {
      stdio: ['pipe', 'pipe', 'inherit'],
      env,
    });
    // What is still being written when the server ends is of no interest.
    this.process.stdin!.on('error', () => undefined);
    this.ended = new Promise((resolve) => this.process.once('exit', resolve));
    const reader = new StreamMessageReader(this.process.stdout!);
    const listen = reader.listen.bind(reader);
    reader.listen = (take) =>
      listen((message) => {
        const answer = this.#answers.get((message as { id?: string }).id ?? '');
        if (answer) answer(message as Answer);
        else take(message);
      });
    this.connection = createProtocolConnection(reader, new StreamMessageWriter(this.process.stdin!));
    this.connection.onNotification('textDocument/publishDiagnostics', (params: PublishDiagnosticsParams) => {
      this.published.push(params);
      for (const wake of this.#waiting.splice(0)) wake();
    });
    this.connection.onNotification(
      'window/logMessage',
      ({ type, message }: { type: number; message: string }) => {
        if (type === 1) this.errors.push(message);
      },
    );
    this.connection.onRequest(
      'client/registerCapability',
      ({ registrations }: { registrations: { method: string }[] }) => {
        this.registered.push(...registrations.map(({ method }) => method));
        return null;
      },
    );
    this.connection.listen();
  }

  static async start(
    folder: string | undefined,
    capabilities: ClientCapabilities = ableClient,
    initializationOptions?: unknown,
    locale = 'en',
  ): Promise<TestClient> {
    const client = new TestClient();
    await client.initialize(folder, capabilities, initializationOptions, null, locale);
    return client;
  }

  async initialize(
    folder: string | undefined,
    capabilities: ClientCapabilities = ableClient,
    initializationOptions?: unknown,
    processId: number | null = null,
    locale = 'en',
    uriOf = fileUri,
  ): Promise<void> {
    this.initialized = await this.connection.sendRequest('initialize', {
      processId,
      rootUri: null,
      workspaceFolders: folder === undefined ? null : [{ uri: uriOf(folder), name: 'folder' }],
      capabilities,
      initializationOptions,
      locale,
    });
    await this.notify('initialized', {});
  }

  notify(method: string, params: unknown): Promise<void> {
    return this.connection.sendNotification(method, params);
  }

  /** Sends messages as they are, all in one piece, so that the server reads them at once. */
  write(...messages: { method: string; params?: unknown; id?: string }[]): void {
    const frames = messages.map((message) => {
      const body = JSON.stringify({ jsonrpc: '2.0', ...message });
      return `Content-Length: ${Buffer.byteLength(body)}\r\n\r\n${body}`;
    });
    this.process.stdin!.write(frames.join(''));
  }

  /** The answer to the request `id` that `write` sends. To be called before. */
  answer(id: string): Promise<Answer> {
    return new Promise((resolve) => this.#answers.set(id, resolve));
  }

  open(uri: string, text: string, version = 1): Promise<void> {
    const textDocument = { uri, languageId: 'plugward-repair-plan', version, text };
    return this.notify('textDocument/didOpen', { textDocument });
  }

  change(uri: string, version: number, ...contentChanges: TextDocumentContentChangeEvent[]): Promise<void> {
    return this.notify('textDocument/didChange', { textDocument: { uri, version }, contentChanges });
  }

  close(uri: string): Promise<void> {
    return this.notify('textDocument/didClose', { textDocument: { uri } });
  }

  /** Resolves with the first published set that satisfies `wanted`, of those after the first `from`. */
  async next(wanted: (params: PublishDiagnosticsParams) => boolean, from = 0): Promise<Diagnostic[]> {
    for (;;) {
      const found = this.published.slice(from).find(wanted);
      if (found) return found.diagnostics;
      await new Promise<void>((resolve) => this.#waiting.push(resolve));
    }
  }

  diagnostics(uri: string, version: number): Promise<Diagnostic[]> {
    return this.next((params) => params.uri === uri && params.version === version);
  }

  codeActions(uri: string, range: Range, context: Partial<CodeActionContext> = {}): Promise<CodeAction[]> {
    const params = { textDocument: { uri }, range, context: { diagnostics: [], ...context } };
    return this.connection.sendRequest('textDocument/codeAction', params);
  }

  /** @returns the exit code */
  async stop(): Promise<number | null> {
    await this.connection.sendRequest('shutdown');
    await this.notify('exit', undefined);
    return this.ended;
  }

  async kill(): Promise<void> {
    this.connection.dispose();
    this.process.kill('SIGKILL');
    await this.ended;
  }
}

export function fileUri(path: string): string {
  return pathToFileURL(path).href;
}
