import { describe, expect, it } from 'vitest';
import { fileUri } from './client.ts';
import type { TestClient } from './client.ts';
import { faultyPlan, startClient } from './folder.ts';

/** What asks about a text and changes nothing. */
const language = [
  'completion',
  'definition',
  'references',
  'documentHighlight',
  'prepareRename',
  'rename',
  'documentSymbol',
  'foldingRange',
  'selectionRange',
  'semanticTokens/full',
  'documentLink',
  'codeLens',
  'inlayHint',
  'formatting',
].map((name) => `textDocument/${name}`);

const uri = 'untitled:lamp.repair-plan.yaml';
const position = { line: 6, character: 6 };

/** It still answers, and answers right. */
async function stillWorks(client: TestClient): Promise<void> {
  const plan = `untitled:${Math.random()}.repair-plan.yaml`;
  await client.open(plan, faultyPlan);
  expect((await client.diagnostics(plan, 1)).map(({ code }) => code)).toContain('bare-connector');
}

describe('whatever a client sends', () => {
  it('a file that is not open has no hover and no fixes', async () => {
    const client = await startClient(undefined);
    const unknown = fileUri('/nowhere/lamp.repair-plan.yaml');
    const params = { textDocument: { uri: unknown }, position };
    expect(await client.connection.sendRequest('textDocument/hover', params)).toBeNull();
    expect(await client.codeActions(unknown, { start: position, end: position })).toEqual([]);
    await client.change(unknown, 3, { text: faultyPlan });
    await client.close(unknown);
    await stillWorks(client);
  });

  it('a file of another kind gets no findings', async () => {
    const client = await startClient(undefined);
    await client.open('untitled:notes.txt', 'Buy tape.\n');
    expect(await client.diagnostics('untitled:notes.txt', 1)).toEqual([]);
  });

  it('a request cancelled while queued is answered as cancelled', async () => {
    const client = await startClient(undefined);
    await client.open(uri, faultyPlan);
    await client.diagnostics(uri, 1);
    const answer = client.answer('raw');
    client.write(
      { id: 'raw', method: 'textDocument/hover', params: { textDocument: { uri }, position } },
      { method: '$/cancelRequest', params: { id: 'raw' } },
    );
    expect((await answer).error?.code).toBe(-32800);
    expect(client.errors).toEqual([]);
    await stillWorks(client);
  });

  const garbage: unknown[] = [
    null,
    undefined,
    7,
    'x',
    [],
    {},
    { textDocument: 3 },
    { textDocument: { uri: 5 } },
  ];
  const hard: unknown[] = [
    { textDocument: { uri: 'http://[' }, position: 'x', range: null, context: null },
    { textDocument: { uri, version: null }, contentChanges: [{ range: 3, text: 1 }] },
    { textDocument: { uri, version: 2 }, contentChanges: [{ range: { start: -1 }, text: null }] },
    { changes: [{}] },
    { settings: { plugward: { severities: 'all' } } },
    { event: { added: [{}], removed: null } },
    { data: { key: 4 } },
  ];
  const methods = [
    'textDocument/didOpen',
    'textDocument/didChange',
    'textDocument/didSave',
    'textDocument/didClose',
    'workspace/didChangeConfiguration',
    'workspace/didChangeWatchedFiles',
    'workspace/didChangeWorkspaceFolders',
    '$/cancelRequest',
    '$/setTrace',
    'textDocument/noSuchThing',
  ];
  const requests = [
    'textDocument/hover',
    'textDocument/codeAction',
    'codeAction/resolve',
    ...language,
    'textDocument/noSuchThing',
  ];

  it('malformed parameters affect only their own message', async () => {
    const client = await startClient(undefined);
    await client.open(uri, faultyPlan);
    for (const params of [...garbage, ...hard]) {
      for (const method of methods) client.write({ method, params });
      for (const [i, method] of requests.entries()) {
        const answer = client.answer(`bad-${i}`);
        client.write({ method, params, id: `bad-${i}` });
        expect(await answer).toHaveProperty('id', `bad-${i}`);
      }
    }
    await stillWorks(client);
    expect(await client.stop()).toBe(0);
  });

  it('half-typed text at every length gets an answer', async () => {
    const client = await startClient(undefined);
    await client.open(uri, '');
    for (let length = 0; length <= faultyPlan.length; length++) {
      await client.change(uri, length + 2, { text: faultyPlan.slice(0, length) });
      await client.codeActions(uri, { start: position, end: position });
      const end = { line: 99, character: 0 };
      const params = { textDocument: { uri }, position: end };
      await client.connection.sendRequest('textDocument/completion', params);
    }
    await client.diagnostics(uri, faultyPlan.length + 2);
    expect(client.errors).toEqual([]);
  });
});
