import { writeFileSync } from 'node:fs';
import path from 'node:path';
import { expect, it } from 'vitest';
import { samples } from '../support/files.ts';
import { ableClient, fileUri } from './client.ts';
import type { TestClient } from './client.ts';
import { startClient, temporaryFolder } from './folder.ts';

const refreshing = {
  ...ableClient,
  workspace: {
    ...ableClient.workspace,
    codeLens: { refreshSupport: true },
    inlayHint: { refreshSupport: true },
    semanticTokens: { refreshSupport: true },
    diagnostics: { refreshSupport: true },
  },
  textDocument: { ...ableClient.textDocument, diagnostic: {} },
};
const plan = 'quarter-panel-faulty.repair-plan.yaml';
const sheet = 'harbour-lane.rate-sheet.yaml';

async function start(options: object = { pullsDiagnostics: true, hearsChanges: true }, able = refreshing) {
  const folder = temporaryFolder();
  const texts = samples();
  for (const [name, text] of Object.entries(texts)) writeFileSync(path.join(folder, name), text);
  const client = await startClient(folder, able, options);
  const heard = new Set<string>();
  const wanted: (() => void)[] = [];
  const hear = (method: string) => () => {
    heard.add(method);
    for (const wake of wanted.splice(0)) wake();
    return;
  };
  for (const kind of ['codeLens', 'inlayHint', 'semanticTokens', 'diagnostic'])
    client.connection.onRequest(`workspace/${kind}/refresh`, hear(kind));
  client.connection.onNotification('plugward/changed', hear('changed'));
  const hearing = async (...all: string[]): Promise<void> => {
    while (!all.every((one) => heard.has(one))) await new Promise<void>((resolve) => wanted.push(resolve));
  };
  const uri = fileUri(path.join(folder, plan));
  await client.open(uri, texts[plan]!);
  return { client, uri, folder, sheetText: texts[sheet]!, heard, hearing };
}

interface Status {
  readonly text: string;
}
const money = async (client: TestClient, uri: string): Promise<string> => {
  const { text } = await client.connection.sendRequest<Status>('plugward/status', { uri });
  const lenses = await client.connection.sendRequest<{ command: { title: string } }[]>(
    'textDocument/codeLens',
    { textDocument: { uri } },
  );
  return `${text}\n${lenses.map(({ command }) => command.title).join('\n')}`;
};
/** Twice the rate of every kind of work. */
const dearer = (text: string): string =>
  text.replace(/(per-hour: ')(\d+)/g, (_, key: string, rate: string) => key + String(2 * Number(rate)));

it('a sheet that changes on disk: lenses, hints, tokens, findings and status are asked for anew, and say the new money', async () => {
  const { client, uri, folder, sheetText, heard, hearing } = await start();
  const before = await money(client, uri);
  heard.clear();
  expect(dearer(sheetText)).not.toBe(sheetText);
  writeFileSync(path.join(folder, sheet), dearer(sheetText));
  await client.notify('workspace/didChangeWatchedFiles', {
    changes: [{ uri: fileUri(path.join(folder, sheet)), type: 2 }],
  });
  await hearing('codeLens', 'inlayHint', 'semanticTokens', 'diagnostic', 'changed');
  expect(await money(client, uri)).not.toBe(before);
  expect(client.errors).toEqual([]);
});

it('a sheet that is edited beside an open plan: the same', async () => {
  const { client, uri, folder, sheetText, heard, hearing } = await start();
  const sheetUri = fileUri(path.join(folder, sheet));
  await client.open(sheetUri, sheetText);
  const before = await money(client, uri);
  heard.clear();
  await client.change(sheetUri, 2, { text: dearer(sheetText) });
  await hearing('codeLens', 'inlayHint', 'semanticTokens', 'changed');
  expect(await money(client, uri)).not.toBe(before);
});

it('an edit of a plan that nothing else uses asks for nothing', async () => {
  const { client, uri, heard } = await start();
  await money(client, uri);
  heard.clear();
  await client.change(uri, 2, { text: 'plan: T-1\noperations: []\n' });
  await money(client, uri);
  await money(client, uri);
  expect([...heard]).toEqual([]);
});

it('a client that does not say that it can is asked nothing', async () => {
  const { client, uri, folder, heard } = await start({}, ableClient as typeof refreshing);
  await money(client, uri);
  await client.notify('workspace/didChangeWatchedFiles', {
    changes: [{ uri: fileUri(path.join(folder, sheet)), type: 2 }],
  });
  await money(client, uri);
  expect([...heard]).toEqual([]);
  expect(client.errors).toEqual([]);
});
