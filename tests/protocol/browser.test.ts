import { readFileSync } from 'node:fs';
import { createContext, runInContext } from 'node:vm';
import { expect, it } from 'vitest';

interface Message {
  readonly id?: number;
  readonly method?: string;
  readonly params?: unknown;
  readonly result?: unknown;
  readonly error?: { readonly message: string };
}

/** The server's worker in a scope that has what a browser's worker has, and nothing of Node. */
function startWorker(href: string, answers: Readonly<Record<string, (params: never) => unknown>>) {
  const received: Message[] = [];
  const loaded: string[] = [];
  let wake = (): void => undefined;
  const scope: Record<string, unknown> = {
    postMessage(message: Message) {
      const { id, method, params } = message;
      if (method !== undefined && id !== undefined) {
        post({ jsonrpc: '2.0', id, result: answers[method]?.(params as never) ?? null });
      } else received.push(message);
      wake();
    },
    addEventListener: () => undefined,
    location: { href },
    console,
    setTimeout,
    clearTimeout,
    URL,
    TextEncoder,
    TextDecoder,
    importScripts(address: string) {
      loaded.push(address);
      runInContext(readFileSync('dist/core.js', 'utf8'), context);
    },
  };
  scope['self'] = scope;
  const context = createContext(scope);
  runInContext(readFileSync('dist/server.js', 'utf8'), context);
  const post = (data: unknown): void => {
    const inside = runInContext(`(${JSON.stringify(data)})`, context) as unknown;
    setTimeout(() => (scope['onmessage'] as (event: { data: unknown }) => void)({ data: inside }));
  };
  const until = async (wanted: (message: Message) => boolean): Promise<Message> => {
    for (;;) {
      const found = received.find(wanted);
      if (found) return found;
      await new Promise<void>((resolve) => (wake = resolve));
    }
  };
  let last = 0;
  return {
    until,
    loaded,
    notify: (method: string, params: unknown) => post({ jsonrpc: '2.0', method, params }),
    async ask(method: string, params: unknown): Promise<unknown> {
      const id = ++last;
      post({ jsonrpc: '2.0', id, method, params });
      const answer = await until((message) => message.id === id);
      if (answer.error) throw new Error(answer.error.message);
      return answer.result;
    },
  };
}

// Some editors start a worker from a blob, beside which nothing lies.
it.each([
  ['https://editor.invalid/extension/dist/server.js', undefined],
  ['blob:https://editor.invalid/1f0c', 'https://editor.invalid/extension/dist/core.js'],
])('in a browser worker at %s it reads the files of the client, finds and renames', async (href, core) => {
  const folder = 'vscode-vfs://host/shop';
  const files: Readonly<Record<string, string>> = {
    [`${folder}/kestrel.connector-list.yaml`]:
      'connector-list: kestrel\nconnectors:\n  - { id: lamp, class: low-voltage, zone: quarter-left }\n',
    [`${folder}/two.repair-plan.yaml`]:
      'plan: X-2\nuses: [./kestrel.connector-list.yaml]\noperations:\n  - { id: op10, do: inspect, connectors: [lamp] }\n',
  };
  const worker = startWorker(href, {
    'plugward/readFile': ({ uri }: { uri: string }) => ({ text: files[uri] ?? null }),
    'plugward/findFiles': () => ({ uris: Object.keys(files) }),
  });
  const initialized = await worker.ask('initialize', {
    processId: null,
    rootUri: null,
    workspaceFolders: [{ uri: folder, name: 'shop' }],
    capabilities: {},
    initializationOptions: { readsFiles: true, core },
  });
  expect(initialized).toMatchObject({ serverInfo: { name: 'Plugward' } });
  worker.notify('initialized', {});
  const uri = `${folder}/one.repair-plan.yaml`;
  const text = `plan: X-1
uses: [./kestrel.connector-list.yaml]
operations:
  - { id: op10, do: disconnect, connectors: [lamp] }
  - { id: op20, do: grind, zone: quarter-left }
`;
  const textDocument = { uri, languageId: 'plugward-repair-plan', version: 1, text };
  worker.notify('textDocument/didOpen', { textDocument });
  const published = await worker.until(({ method }) => method === 'textDocument/publishDiagnostics');
  const { diagnostics } = published.params as {
    diagnostics: { code: string; codeDescription?: { href: string } }[];
  };
  const bare = diagnostics.find(({ code }) => code === 'bare-connector');
  expect(bare).toBeDefined();
  expect(bare?.codeDescription?.href).toBe('https://editor.invalid/extension/dist/docs/bare-connector.md');
  expect(worker.loaded).toEqual(['https://editor.invalid/extension/dist/core.js']);
  const edit = (await worker.ask('textDocument/rename', {
    textDocument: { uri },
    position: { line: 3, character: 46 },
    newName: 'tail-lamp',
  })) as { changes: Record<string, unknown> };
  expect(Object.keys(edit.changes).sort()).toEqual([...Object.keys(files), uri].sort());
});
