import {
  existsSync,
  mkdtempSync,
  readFileSync,
  realpathSync,
  rmSync,
  unlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { setTimeout } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import type { TextEdit, WorkspaceDiagnosticReport, WorkspaceEdit } from 'vscode-languageserver/node';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { ableClient, fileUri, TestClient } from '../../protocol/client.ts';

/** A file of the shop: what stands on the disk, and what stands in the editor while it is open. */
export interface ShopFile {
  readonly uri: string;
  readonly path: string;
  /** The text it started with. */
  readonly original: string;
  /** The editor's text. */
  document: TextDocument;
  open: boolean;
  /** Edits since it last stood as it started. */
  drift: number;
}

type Change = Parameters<TestClient['change']>[2];

const capabilities = (watches: boolean): typeof ableClient => {
  const { didChangeWatchedFiles, ...workspace } = ableClient.workspace!;
  return {
    ...ableClient,
    workspace: watches ? { ...workspace, didChangeWatchedFiles } : workspace,
    textDocument: { ...ableClient.textDocument, diagnostic: {} },
  };
};

/** What a server says of everything it knows, as plain text in a settled order. */
export type Answers = ReadonlyMap<string, string>;

/**
 * An editor as the server sees it: a folder, open texts, settings, and a server that may be killed at any time. It
 * keeps its own account of every text, from which a fresh server can be told the same.
 */
export class Editor {
  readonly folder = realpathSync(mkdtempSync(path.join(tmpdir(), 'plugward-soak-')));
  readonly files = new Map<string, ShopFile>();
  settings: object = {};
  client!: TestClient;
  #record = '';
  #looks = 0;
  #servers = 0;

  /** @param watches whether it tells what changes on the disk; one that does not only tells what it saves */
  constructor(
    texts: Readonly<Record<string, string>>,
    readonly watches: boolean,
  ) {
    for (const [name, text] of Object.entries(texts)) this.add(name, text);
  }

  add(name: string, text: string): ShopFile {
    const file = path.join(this.folder, name);
    const uri = fileUri(file);
    writeFileSync(file, text);
    const made: ShopFile = {
      uri,
      path: file,
      original: text,
      document: TextDocument.create(uri, 'plugward', 1, text),
      open: false,
      drift: 0,
    };
    this.files.set(uri, made);
    return made;
  }

  get opened(): ShopFile[] {
    return [...this.files.values()].filter(({ open }) => open);
  }

  get closed(): ShopFile[] {
    return [...this.files.values()].filter(({ open }) => !open);
  }

  /** Starts a server and tells it what is open. */
  async start(): Promise<void> {
    this.client = await this.#serve();
    for (const file of this.opened) await this.#show(this.client, file);
  }

  async #serve(): Promise<TestClient> {
    this.#record = path.join(this.folder, `.heap-${this.#servers++}`);
    this.#looks = 0;
    const client = new TestClient({
      ...process.env,
      PLUGWARD_HEAP: this.#record,
      NODE_OPTIONS: `--require ${path.resolve('tests/hardening/heap-probe.cjs')}`,
    });
    await client.initialize(this.folder, capabilities(this.watches), { pullsDiagnostics: true });
    await client.notify('workspace/didChangeConfiguration', { settings: { plugward: this.settings } });
    return client;
  }

  #show(client: TestClient, { uri, document }: ShopFile): Promise<void> {
    return client.open(uri, document.getText(), document.version);
  }

  /** What the server's heap holds after garbage was collected, and its whole memory. Unit: MB. */
  async memory(): Promise<{ heap: number; process: number }> {
    const { process: server } = this.client;
    server.kill('SIGUSR2');
    this.#looks++;
    for (;;) {
      const found = existsSync(this.#record) ? readFileSync(this.#record, 'utf8').trim().split('\n') : [];
      if (found.length >= this.#looks) {
        const status = readFileSync(`/proc/${server.pid!}/status`, 'utf8');
        return {
          heap: Number(found.at(-1)) / 1e6,
          process: Number(/VmRSS:\s+(\d+) kB/.exec(status)?.[1]) / 1024,
        };
      }
      await setTimeout(20);
    }
  }

  request<T = unknown>(method: string, params: object): Promise<T> {
    return this.client.connection.sendRequest(method, params);
  }

  async setSettings(settings: object): Promise<void> {
    this.settings = settings;
    await this.client.notify('workspace/didChangeConfiguration', { settings: { plugward: settings } });
  }

  /** An edit of an open text, as one change. */
  async edit(file: ShopFile, ...changes: Change[]): Promise<void> {
    const version = file.document.version + 1;
    file.document = TextDocument.update(file.document, changes, version);
    file.drift++;
    await this.client.change(file.uri, version, ...changes);
  }

  replace(file: ShopFile, from: number, to: number, text: string): Promise<void> {
    const { document } = file;
    return this.edit(file, {
      range: { start: document.positionAt(from), end: document.positionAt(to) },
      text,
    });
  }

  async open(file: ShopFile): Promise<void> {
    const text = existsSync(file.path) ? readFileSync(file.path, 'utf8') : file.original;
    file.document = TextDocument.create(file.uri, 'plugward', file.document.version + 1, text);
    file.open = true;
    await this.#show(this.client, file);
  }

  async close(file: ShopFile): Promise<void> {
    file.open = false;
    await this.client.close(file.uri);
  }

  async save(file: ShopFile): Promise<void> {
    writeFileSync(file.path, file.document.getText());
    if (this.watches) await this.client.notify('textDocument/didSave', { textDocument: { uri: file.uri } });
    await this.changedOnDisk(file.uri, 2);
  }

  /** Another program writes, or removes, a file. */
  async writeOnDisk({ uri, path: file }: ShopFile, text: string | undefined): Promise<void> {
    const was = existsSync(file);
    if (text !== undefined) writeFileSync(file, text);
    else if (was) unlinkSync(file);
    await this.changedOnDisk(uri, text === undefined ? 3 : was ? 2 : 1);
  }

  changedOnDisk(uri: string, type: 1 | 2 | 3): Promise<void> {
    if (!this.watches) {
      // What is not open is not saved either: another file is.
      const saved = this.files.get(uri)?.open === true ? uri : this.opened[0]!.uri;
      return this.client.notify('textDocument/didSave', { textDocument: { uri: saved } });
    }
    return this.client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri, type }] });
  }

  /** Applies what the server proposes: to open texts as an edit, to others on the disk. */
  async apply({ documentChanges = [], changes = {} }: WorkspaceEdit): Promise<number> {
    const edits: [string, TextEdit[]][] = Object.entries(changes);
    for (const one of documentChanges) {
      if ('textDocument' in one) edits.push([one.textDocument.uri, one.edits as TextEdit[]]);
    }
    for (const [uri, list] of edits) {
      const file = this.files.get(uri) ?? this.add(path.basename(fileURLToPath(uri)), '');
      if (file.open) {
        // The changes of one notification follow each other: the last place first.
        const late = [...list].sort(
          (a, b) => file.document.offsetAt(b.range.start) - file.document.offsetAt(a.range.start),
        );
        await this.edit(file, ...late.map(({ range, newText }) => ({ range, text: newText })));
      } else {
        const document = TextDocument.create(uri, 'plugward', 1, readFileSync(file.path, 'utf8'));
        await this.writeOnDisk(file, TextDocument.applyEdits(document, list));
      }
    }
    return edits.length;
  }

  /** What the server says of every file, and of what is open also what it shows there. */
  async answers(client = this.client): Promise<Answers> {
    const said = new Map<string, string>();
    const ask = (method: string, params: object): Promise<unknown> =>
      client.connection.sendRequest(method, params);
    const report = (await ask('workspace/diagnostic', {
      previousResultIds: [],
    })) as WorkspaceDiagnosticReport;
    for (const item of report.items) {
      if (item.kind !== 'full') throw new Error(`unasked: ${item.uri} is ${item.kind}`);
      said.set(
        item.uri,
        item.items
          .map((diagnostic) => JSON.stringify(diagnostic))
          .sort()
          .join('\n'),
      );
    }
    for (const { uri } of this.opened) {
      const textDocument = { uri };
      said.set(
        `${uri} shows`,
        JSON.stringify([
          await ask('textDocument/codeLens', { textDocument }),
          await ask('textDocument/documentSymbol', { textDocument }),
          ((await ask('textDocument/semanticTokens/full', { textDocument })) as { data: unknown }).data,
        ]),
      );
    }
    return said;
  }

  /** What a server says that has seen only what there is now. */
  async afresh(): Promise<Answers> {
    const client = await this.#serve();
    try {
      for (const file of this.opened) await this.#show(client, file);
      return await this.answers(client);
    } finally {
      await client.kill();
    }
  }

  async end(): Promise<void> {
    await this.client.kill();
    rmSync(this.folder, { recursive: true, force: true });
  }
}
