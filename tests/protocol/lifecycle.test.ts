import { spawnSync } from 'node:child_process';
import { describe, expect, it, onTestFinished } from 'vitest';
import { TestClient } from './client.ts';
import { faultyPlan, startClient } from './folder.ts';

/** A server that has not been spoken to; it goes when the test has finished. */
function connect(): TestClient {
  const client = new TestClient();
  onTestFinished(() => client.kill());
  return client;
}

async function ask(client: TestClient, id: string, method: string, params: unknown = {}) {
  const answer = client.answer(id);
  client.write({ id, method, params });
  return answer;
}

const uri = 'untitled:lamp.repair-plan.yaml';
const hover = { textDocument: { uri }, position: { line: 6, character: 6 } };

async function stillWorks(client: TestClient): Promise<void> {
  const plan = `untitled:${Math.random()}.repair-plan.yaml`;
  await client.open(plan, faultyPlan);
  expect((await client.diagnostics(plan, 1)).map(({ code }) => code)).toContain('bare-connector');
}

// Codes and order of messages: Language Server Protocol 3.17, "Server lifecycle" and "Base Protocol".
describe('the order of a session', () => {
  it('requests before initialize are rejected, notifications dropped, and the session works afterwards', async () => {
    const client = connect();
    for (const [i, method] of [
      'textDocument/hover',
      'plugward/preview',
      'no/such',
      'workspace/symbol',
    ].entries())
      expect((await ask(client, `early-${i}`, method, hover)).error?.code).toBe(-32002);
    await client.open(uri, faultyPlan);
    await client.change(uri, 2, { text: faultyPlan });
    client.write({ method: '$/cancelRequest', params: { id: 'early-0' } });
    await client.initialize(undefined);
    expect(client.published).toEqual([]);
    await stillWorks(client);
  });

  it('a second initialize is rejected and changes nothing', async () => {
    const client = await startClient(undefined);
    await client.open(uri, faultyPlan);
    const again = { processId: null, rootUri: null, capabilities: {} };
    expect((await ask(client, 'again', 'initialize', again)).error?.code).toBe(-32600);
    expect((await client.diagnostics(uri, 1)).map(({ code }) => code)).toContain('bare-connector');
    await stillWorks(client);
  });

  it('unknown requests get MethodNotFound, and unknown optional notifications are ignored', async () => {
    const client = await startClient(undefined);
    for (const [i, method] of ['textDocument/dance', '$/dance', '', 'constructor'].entries())
      expect((await ask(client, `unknown-${i}`, method)).error?.code).toBe(-32601);
    client.write({ method: '$/dance' }, { method: 'textDocument/didDance', params: 7 });
    await stillWorks(client);
    expect(client.errors).toEqual([]);
  });

  // "If a server receives requests after a shutdown request those requests should error with InvalidRequest."
  it('every request after shutdown is refused, and exit then ends the process with 0', async () => {
    const client = connect();
    await client.initialize(undefined);
    await client.open(uri, faultyPlan);
    await client.connection.sendRequest('shutdown');
    for (const [i, method] of [
      'textDocument/hover',
      'plugward/print',
      'initialize',
      'no/such',
      'shutdown',
    ].entries())
      expect((await ask(client, `late-${i}`, method, hover)).error?.code).toBe(-32600);
    await client.notify('exit', undefined);
    expect(await client.ended).toBe(0);
  });

  it.each([
    ['exit alone', async (client: TestClient) => client.notify('exit', undefined), 1],
    ['exit before initialize', async (client: TestClient) => client.notify('exit', undefined), 1],
    ['an end of input', async (client: TestClient) => void client.process.stdin!.end(), 1],
  ])('%s ends the process', async (name, act, code) => {
    const client = connect();
    if (!name.includes('before')) await client.initialize(undefined);
    await act(client);
    expect(await client.ended).toBe(code);
  });

  it('the server exits when its editor is gone', async () => {
    const gone = spawnSync(process.execPath, ['-e', '']).pid;
    const client = connect();
    await client.initialize(undefined, undefined, undefined, gone);
    expect(await client.ended).toBe(1);
  });
});

describe('texts and their versions', () => {
  it('versions out of order: the last to arrive wins', async () => {
    const client = await startClient(undefined);
    await client.open(uri, 'plan: T-1\n', 40);
    await client.change(uri, 50, { text: 'plan: T-2\n' });
    await client.change(uri, 3, { text: 'plan: T-3\noperations: []\n' });
    await client.change(uri, 3, { text: faultyPlan });
    expect((await client.diagnostics(uri, 3)).map(({ code }) => code)).toContain('bare-connector');
    // Opened a second time without having been closed.
    await client.open(uri, 'plan: T-4\nzzz: 1\n', 2);
    expect((await client.diagnostics(uri, 2)).map(({ code }) => code)).toContain('key-unknown');
  });

  it('nothing is published for a file closed during its check', async () => {
    const client = await startClient(undefined);
    for (let round = 0; round < 60; round++) {
      const one = `untitled:${round}.repair-plan.yaml`;
      const open = { textDocument: { uri: one, languageId: 'x', version: 1, text: faultyPlan } };
      const requests = ['hover', 'completion', 'rename', 'codeLens', 'documentSymbol', 'formatting'].map(
        (name) => ({
          id: `${round}-${name}`,
          method: `textDocument/${name}`,
          params: {
            ...hover,
            textDocument: { uri: one },
            newName: 'x',
            options: { tabSize: 2, insertSpaces: true },
          },
        }),
      );
      const answers = requests.map(({ id }) => client.answer(id));
      const close = { method: 'textDocument/didClose', params: { textDocument: { uri: one } } };
      client.write({ method: 'textDocument/didOpen', params: open }, ...requests, close);
      for (const answer of await Promise.all(answers)) {
        // Nothing to rename, or too late: an answer all the same.
        expect([undefined, -32803]).toContain(answer.error?.code);
      }
    }
    await stillWorks(client);
    for (let round = 0; round < 60; round++) {
      const last = client.published.findLast(
        (published) => published.uri === `untitled:${round}.repair-plan.yaml`,
      );
      expect(last?.diagnostics).toEqual([]);
    }
    expect(client.errors).toEqual([]);
  });
});

describe('invalid messages', () => {
  const framed = (body: string): string => `Content-Length: ${Buffer.byteLength(body)}\r\n\r\n${body}`;
  const initialize = framed(
    '{"jsonrpc":"2.0","id":"first","method":"initialize","params":{"capabilities":{}}}',
  );

  // After one that is damaged within its own length the next is read.
  it.each([
    ['a body that is no JSON', framed('{"jsonrpc":')],
    ['a body that is no object', framed('7') + framed('null') + framed('"x"') + framed('[]')],
    ['a message without a method', framed('{"jsonrpc":"2.0"}')],
    ['an answer to nothing', framed('{"jsonrpc":"2.0","id":99,"result":1}')],
    [
      'headers of other kinds',
      'X-A: b\r\nContent-Type: application/vscode-jsonrpc; charset=utf-8\r\n' + framed('{}'),
    ],
    ['a length without a body', 'Content-Length: 0\r\n\r\n'],
    ['broken UTF-8', 'Content-Length: 4\r\n\r\n{"\xff}'],
  ])('%s affects only itself', async (_, bytes) => {
    const client = connect();
    const answer = client.answer('first');
    client.process.stdin!.write(Buffer.from(bytes, 'latin1'));
    client.process.stdin!.write(initialize);
    expect(await answer).toHaveProperty('result.capabilities');
  });

  // Where the next message starts cannot be known then.
  it.each([
    ['no length', 'X-Length: 7\r\n\r\n{}'],
    ['a length that is no number', 'Content-Length: many\r\n\r\n{}'],
    ['a length below zero', 'Content-Length: -5\r\n\r\n{}'],
    ['a header without a colon', 'rubbish\r\n\r\n'],
    ['a length beyond all reason', 'Content-Length: 99999999999999\r\n\r\n{}'],
    ['headers without end', 'x'.repeat(100_000)],
  ])('%s: the process reports it and exits', async (_, bytes) => {
    const client = connect();
    client.process.stdin!.write(bytes);
    client.process.stdin!.write(initialize);
    expect(await client.ended).toBe(1);
  });
});
