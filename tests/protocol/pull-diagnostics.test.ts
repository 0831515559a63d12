import { unlinkSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, it } from 'vitest';
import type {
  ClientCapabilities,
  DocumentDiagnosticReport,
  WorkDoneProgressBegin,
  WorkDoneProgressEnd,
  WorkDoneProgressReport,
  WorkspaceDiagnosticReport,
  WorkspaceDiagnosticReportPartialResult,
} from 'vscode-languageserver/node';
import { ableClient, fileUri } from './client.ts';
import { faultyPlan, startClient, temporaryFolder } from './folder.ts';

const puller = {
  ...ableClient,
  textDocument: { ...ableClient.textDocument, diagnostic: {} },
};

async function start() {
  const folder = temporaryFolder();
  const file = (name: string): string => path.join(folder, `${name}.repair-plan.yaml`);
  writeFileSync(file('one'), faultyPlan);
  writeFileSync(file('two'), faultyPlan);
  const client = await startClient(folder, puller, { pullsDiagnostics: true });
  const uri = fileUri(file('one'));
  await client.open(uri, faultyPlan);
  const document = (previousResultId?: string): Promise<DocumentDiagnosticReport> =>
    client.connection.sendRequest('textDocument/diagnostic', { textDocument: { uri }, previousResultId });
  const workspace = (last?: WorkspaceDiagnosticReport): Promise<WorkspaceDiagnosticReport> =>
    client.connection.sendRequest('workspace/diagnostic', {
      previousResultIds: (last?.items ?? []).map((item) => ({ uri: item.uri, value: item.resultId! })),
    });
  return { client, uri, two: file('two'), document, workspace };
}

const kinds = (report: WorkspaceDiagnosticReport): Record<string, string> =>
  Object.fromEntries(report.items.map(({ uri, kind }) => [path.basename(uri).split('.')[0]!, kind]));

it('a pulling client gets the findings once, then "unchanged"', async () => {
  const { client, uri, document } = await start();
  expect(client.initialized.capabilities.diagnosticProvider).toMatchObject({ workspaceDiagnostics: true });
  const first = await document();
  expect(first.kind === 'full' && first.items.map(({ code }) => code)).toContain('bare-connector');
  expect(await document(first.resultId)).toEqual({ kind: 'unchanged', resultId: first.resultId });
  await client.change(uri, 2, { text: faultyPlan.replace('do: grind', 'do: scan') });
  const after = await document(first.resultId);
  expect(after.kind === 'full' && after.items.map(({ code }) => code)).not.toContain('bare-connector');
  expect(client.published).toEqual([]);
  expect(client.errors).toEqual([]);
});

it('a client that does not support or announce pulling gets no such capability', async () => {
  const client = await startClient(undefined, puller);
  expect(client.initialized.capabilities).not.toHaveProperty('diagnosticProvider');
});

it('the whole workspace is reported, then the request waits for a change', async () => {
  const { client, two, document, workspace } = await start();
  const first = await workspace();
  expect(kinds(first)).toEqual({ one: 'full', two: 'full' });
  let answered = false;
  const waiting = workspace(first).finally(() => (answered = true));
  // Anything it could have said by then it would have said before this answer.
  await document();
  await document();
  expect(answered).toBe(false);
  writeFileSync(two, faultyPlan.replace('do: grind', 'do: scan'));
  await client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: fileUri(two), type: 2 }] });
  const second = await waiting;
  expect(kinds(second)).toEqual({ one: 'unchanged', two: 'full' });
  const gone = workspace(second);
  unlinkSync(two);
  await client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: fileUri(two), type: 3 }] });
  const third = await gone;
  expect(third.items.find(({ uri }) => uri === fileUri(two))).toMatchObject({ kind: 'full', items: [] });
  expect(client.errors).toEqual([]);
});

it('a waiting request can be cancelled', async () => {
  const { client, workspace } = await start();
  const last = await workspace();
  const answer = client.answer('long');
  const previousResultIds = last.items.map(({ uri, resultId }) => ({ uri, value: resultId }));
  client.write({ id: 'long', method: 'workspace/diagnostic', params: { previousResultIds } });
  await workspace();
  client.write({ method: '$/cancelRequest', params: { id: 'long' } });
  expect((await answer).error?.code).toBe(-32800);
  expect(client.errors).toEqual([]);
});

const nowhere = { start: { line: 0, character: 0 }, end: { line: 0, character: 0 } };

describe('a workspace of many files', () => {
  const many = async (window: ClientCapabilities['window']) => {
    const folder = temporaryFolder();
    for (let i = 0; i < 45; i++) writeFileSync(path.join(folder, `p${i}.repair-plan.yaml`), faultyPlan);
    const client = await startClient(folder, { ...puller, window }, { pullsDiagnostics: true });
    const told: (WorkDoneProgressBegin | WorkDoneProgressReport | WorkDoneProgressEnd)[] = [];
    let token: string | number | undefined;
    let stopAt = Infinity;
    client.connection.onRequest('window/workDoneProgress/create', (params: { token: string | number }) => {
      token = params.token;
      return null;
    });
    const portions: WorkspaceDiagnosticReportPartialResult[] = [];
    client.connection.onNotification(
      '$/progress',
      ({ token: of, value }: { token: string | number; value: never }) => {
        if (of === 'portions') portions.push(value);
        if (of !== token) return;
        told.push(value);
        if (told.length === stopAt) void client.notify('window/workDoneProgress/cancel', { token });
      },
    );
    const ask = (
      partialResultToken?: string,
      last?: WorkspaceDiagnosticReport,
    ): Promise<WorkspaceDiagnosticReport> =>
      client.connection.sendRequest('workspace/diagnostic', {
        previousResultIds: (last?.items ?? []).map(({ uri, resultId }) => ({ uri, value: resultId })),
        partialResultToken,
      });
    return { client, folder, told, portions, ask, stopAfter: (reports: number) => (stopAt = reports) };
  };

  it('is reported in partial results, with progress', async () => {
    const { client, told, portions, ask } = await many({ workDoneProgress: true });
    const last = await ask('portions');
    const uris = [...portions, last].flatMap(({ items }) => items.map(({ uri }) => uri));
    expect(portions.length).toBeGreaterThan(1);
    expect(new Set(uris).size).toBe(45);
    expect(uris).toHaveLength(45);
    expect(told[0]).toMatchObject({ kind: 'begin', cancellable: true });
    expect(told.at(-1)).toEqual({ kind: 'end' });
    const shares = told.flatMap((one) => (one.kind === 'report' ? [one.percentage!] : []));
    expect(shares).toEqual([...shares].sort((a, b) => a - b));
    expect(client.errors).toEqual([]);
  });

  it('can be stopped half-way: findings so far are kept, the rest follows at the next change', async () => {
    const { client, folder, told, ask, stopAfter } = await many({ workDoneProgress: true });
    stopAfter(5);
    const first = await ask();
    expect(first.items.length).toBeGreaterThan(0);
    expect(first.items.length).toBeLessThan(45);
    expect(told.at(-1)).toEqual({ kind: 'end' });
    let answered = false;
    const rest = ask(undefined, first).finally(() => (answered = true));
    // Anything the server does at once it would have done before this answer.
    await client.codeActions(fileUri(path.join(folder, 'p0.repair-plan.yaml')), nowhere);
    expect(answered).toBe(false);
    stopAfter(Infinity);
    const uri = fileUri(path.join(folder, 'p0.repair-plan.yaml'));
    await client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri, type: 2 }] });
    expect(new Set((await rest).items.map((item) => item.uri)).size).toBe(45);
    expect(client.errors).toEqual([]);
  });

  it('is reported in one piece and without progress to a client that supports neither', async () => {
    const { told, portions, ask } = await many({});
    expect((await ask()).items).toHaveLength(45);
    expect([told, portions]).toEqual([[], []]);
  });
});

it('a file that changes on disk during the walk is never reported as missing', async () => {
  const folder = temporaryFolder();
  const list = path.join(folder, 'kestrel.connector-list.yaml');
  writeFileSync(
    list,
    'connector-list: kestrel\nconnectors:\n  - { id: lamp, class: low-voltage, zone: doors }\n',
  );
  const text = `plan: X\nvehicle: { description: Kestrel (invented), propulsion: hybrid }\nuses: [./kestrel.connector-list.yaml]\noperations:\n  - { id: op10, do: inspect, connectors: [lamp] }\n`;
  for (let i = 0; i < 60; i++) writeFileSync(path.join(folder, `${i}.repair-plan.yaml`), text);
  const client = await startClient(folder, puller, { pullsDiagnostics: true });
  const changes = [{ uri: fileUri(list), type: 2 }];
  let answer: WorkspaceDiagnosticReport | undefined;
  const asked = client.connection
    .sendRequest<WorkspaceDiagnosticReport>('workspace/diagnostic', { previousResultIds: [] })
    .then((report) => (answer = report));
  for (let i = 0; i < 200 && !answer; i++) {
    await client.notify('workspace/didChangeWatchedFiles', { changes });
    await new Promise((resolve) => setTimeout(resolve, 3));
  }
  const { items } = await asked;
  expect(items).toHaveLength(61);
  const said = items.flatMap((item) => (item.kind === 'full' ? item.items.map(({ code }) => code) : []));
  expect(said).not.toContain('file-missing');
  expect(client.errors).toEqual([]);
});
