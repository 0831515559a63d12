import { writeFileSync } from 'node:fs';
import path from 'node:path';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { describe, expect, test, vi } from 'vitest';
import { fileUri, peakMemory } from '../protocol/client.ts';
import type { TestClient } from '../protocol/client.ts';
import { startClient, temporaryFolder } from '../protocol/folder.ts';
import { samples } from '../support/files.ts';
import { Random } from './fuzz/random.ts';
import { scalars, signs, unicode } from './fuzz/traps.ts';

/** How many times the usual load. `PLUGWARD_SOAK=20 npx vitest run -c .config/vitest.config.mts tests/hardening/load` is the long run. */
const factor = Number(process.env['PLUGWARD_SOAK'] ?? 1);
vi.setConfig({ testTimeout: 240_000 * Math.max(1, factor) });

/** What a server with 500 open plans, or after 10,000 edits, may have taken at its peak. Unit: MB. */
const bound = 512;

const sheet = (hours: number): string => `rate-sheet: harbour-lane
currency: EUR
rates: [{ id: electrical, per-hour: '96.00' }]
times: [{ task: disconnect, hours: ${hours}, rate: electrical, basis: not-included, reference: T1 }]
sources: [{ id: T1, title: Time study (invented), publisher: shop }]
`;

const plan = (number: number): string => `plan: HL-${1000 + number}
vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 400 V }
uses: [./shop.rate-sheet.yaml]
connectors:
  - { id: lamp-${number}, class: low-voltage, zone: quarter-left }
operations:
  - { id: op10, do: disconnect, connectors: [lamp-${number}] }
  - { id: op20, do: grind, zone: quarter-left }
`;

const replaced = (uri: string, document: TextDocument) => ({
  method: 'textDocument/didChange',
  params: {
    textDocument: { uri, version: document.version },
    contentChanges: [{ text: document.getText() }],
  },
});

/** What a server says of texts that it has seen only as they are now. */
async function afresh(folder: string, documents: Iterable<TextDocument>): Promise<Map<string, unknown>> {
  const client = await startClient(folder);
  const said = new Map<string, unknown>();
  for (const document of documents) await client.open(document.uri, document.getText(), document.version);
  for (const { uri, version } of documents) said.set(uri, await answers(client, uri, version));
  await client.kill();
  return said;
}

/** The findings, and what depends on every character of the text. */
async function answers(client: TestClient, uri: string, version: number): Promise<unknown> {
  const textDocument = { uri };
  const ask = (method: string) => client.connection.sendRequest(`textDocument/${method}`, { textDocument });
  return JSON.stringify([
    (await client.diagnostics(uri, version)).map((diagnostic) => JSON.stringify(diagnostic)).sort(),
    await ask('documentSymbol'),
    ((await ask('semanticTokens/full')) as { data: unknown }).data,
  ]);
}

describe('load', () => {
  test('500 open plans whose rate sheet changes', async () => {
    const plans = 500;
    const folder = temporaryFolder();
    const client = await startClient(folder);
    const shop = fileUri(path.join(folder, 'shop.rate-sheet.yaml'));
    const uris = Array.from({ length: plans }, (_, i) => fileUri(path.join(folder, `${i}.repair-plan.yaml`)));
    await client.open(shop, sheet(0.3));
    for (const [i, uri] of uris.entries()) await client.open(uri, plan(i));
    const hours = async (from: number, wanted: string): Promise<number> => {
      let right = 0;
      for (const uri of uris) {
        await client.next(
          (published) =>
            published.uri === uri &&
            published.diagnostics.some(({ message }) => String(message).includes(wanted)),
          from,
        );
        right++;
      }
      return right;
    };
    expect(await hours(0, '0.3 h')).toBe(plans);
    const from = client.published.length;
    await client.change(shop, 2, { text: sheet(0.7) });
    expect(await hours(from, '0.7 h')).toBe(plans);
    const megabytes = peakMemory(client);
    console.log({ plans, published: client.published.length, megabytes });
    if (megabytes !== undefined) expect(megabytes).toBeLessThan(bound);
    expect(client.errors).toEqual([]);
    expect(await client.stop()).toBe(0);
  });

  test('10,000 rapid edits mixed with requests give the same result as a fresh parse', async () => {
    const edits = Math.round(10_000 * factor);
    const folder = temporaryFolder();
    for (const [name, text] of Object.entries(samples())) writeFileSync(path.join(folder, name), text);
    const name = 'quarter-panel-faulty.repair-plan.yaml';
    const uri = fileUri(path.join(folder, name));
    const client = await startClient(folder);
    const document = TextDocument.create(uri, 'plugward-repair-plan', 1, samples()[name]!);
    await client.open(uri, document.getText());
    const random = new Random(7);
    let requests = 0;
    const open: Promise<unknown>[] = [];
    for (let n = 0; n < edits;) {
      const burst: Parameters<TestClient['write']> = [];
      for (let i = 0; i < 100 && n < edits; i++, n++) {
        // Back to the plan from time to time: a text that is nothing but noise asks little of the server.
        const whole = random.chance(0.01);
        const start = random.below(document.getText().length + 1);
        const range = {
          start: document.positionAt(start),
          end: document.positionAt(start + (random.chance(0.4) ? random.below(12) : 0)),
        };
        const typed = random.chance(0.8)
          ? random.pick([...'abc01 -:,{}[]#"\n'])
          : random.pick([signs, unicode, scalars][random.below(3)]!);
        const change = whole ? { text: samples()[name]! } : { range, text: typed };
        TextDocument.update(document, [change], document.version + 1);
        burst.push({
          method: 'textDocument/didChange',
          params: { textDocument: { uri, version: document.version }, contentChanges: [change] },
        });
      }
      const id = `hover-${n}`;
      open.push(client.answer(id));
      burst.push({
        id,
        method: 'textDocument/hover',
        params: { textDocument: { uri }, position: { line: random.below(200), character: 9 } },
      });
      requests++;
      client.write(...burst);
      // As fast as it is read, not faster: bursts and pauses alike.
      if (random.chance(0.3)) await open.at(-1);
    }
    expect((await Promise.all(open)).length).toBe(requests);
    // Once as it stands, and once as a plan again.
    for (const text of [document.getText(), samples()[name]!]) {
      TextDocument.update(document, [{ text }], document.version + 1);
      client.write(replaced(uri, document));
      const said = await answers(client, uri, document.version);
      expect(said).toBe((await afresh(folder, [document])).get(uri));
    }
    const megabytes = peakMemory(client);
    console.log({ edits, requests, megabytes });
    if (megabytes !== undefined) expect(megabytes).toBeLessThan(bound);
    expect(client.errors).toEqual([]);
    expect(await client.stop()).toBe(0);
  });
});

test('no client behaviour loses anything', async () => {
  const [plans, actions] = [30, Math.round(2_000 * factor)];
  const folder = temporaryFolder();
  const shop = path.join(folder, 'shop.rate-sheet.yaml');
  writeFileSync(shop, sheet(0.3));
  const random = new Random(11);
  const documents = new Map<string, TextDocument>();
  const fresh = (i: number): TextDocument => {
    const uri = fileUri(path.join(folder, `${i}.repair-plan.yaml`));
    return TextDocument.create(uri, 'plugward-repair-plan', 1, plan(i));
  };
  let client = await startClient(folder);
  const counts = {
    edits: 0,
    closed: 0,
    asked: 0,
    answered: 0,
    cancelled: 0,
    refused: 0,
    garbage: 0,
    disk: 0,
    killed: 0,
  };
  const waiting: Promise<void>[] = [];

  const show = (document: TextDocument): Promise<void> => {
    documents.set(document.uri, document);
    return client.open(document.uri, document.getText(), document.version);
  };
  const ask = (id: string, method: string, params: unknown, cancel: boolean): void => {
    counts.asked++;
    const answer = client.answer(id).then(({ error }) => {
      if (error?.code === -32800) counts.cancelled++;
      else if (error) counts.refused++;
      else counts.answered++;
    });
    waiting.push(answer);
    client.write({ id, method, params }, ...(cancel ? [{ method: '$/cancelRequest', params: { id } }] : []));
  };
  const methods = [
    'hover',
    'completion',
    'definition',
    'references',
    'codeLens',
    'documentSymbol',
    'codeAction',
    'rename',
    'formatting',
    'dance',
  ];

  for (let i = 0; i < plans; i++) await show(fresh(i));
  for (let n = 0; n < actions; n++) {
    const act = random.next();
    const document = random.pick([...documents.values()]);
    const { uri } = document;
    if (act < 0.45) {
      const start = random.below(document.getText().length + 1);
      const range = { start: document.positionAt(start), end: document.positionAt(start + random.below(3)) };
      const change = random.chance(0.1)
        ? { text: plan(n) }
        : { range, text: random.pick([...signs, 'a', ' ', '0', '\n']) };
      TextDocument.update(document, [change], document.version + 1 + random.below(3));
      await client.change(uri, document.version, change);
      counts.edits++;
    } else if (act < 0.8) {
      const position = document.positionAt(random.below(document.getText().length + 1));
      const params = {
        textDocument: { uri },
        position,
        range: { start: position, end: position },
        context: { diagnostics: [], includeDeclaration: true },
        newName: 'x',
        options: { tabSize: 2, insertSpaces: true },
      };
      ask(`ask-${n}`, `textDocument/${random.pick(methods)}`, params, random.chance(0.4));
    } else if (act < 0.87) {
      await client.close(uri);
      documents.delete(uri);
      counts.closed++;
      await show(fresh(n));
    } else if (act < 0.94) {
      const params = random.pick<unknown>([
        null,
        7,
        { textDocument: {} },
        { textDocument: { uri: 'http://[' } },
        { contentChanges: [{}] },
      ]);
      client.write({
        method: `textDocument/${random.pick(['didOpen', 'didClose', 'didSave', 'didChange'])}`,
        params,
      });
      ask(`garbage-${n}`, `textDocument/${random.pick(methods)}`, params, false);
      counts.garbage++;
    } else if (act < 0.995) {
      writeFileSync(shop, sheet(0.1 + random.below(9) / 10));
      await client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: fileUri(shop), type: 2 }] });
      counts.disk++;
    } else {
      // Requests that are open when the process dies are the only thing that may go with it.
      await Promise.all(waiting.splice(0));
      await client.kill();
      client = await startClient(folder);
      for (const textDocument of documents.values()) await show(textDocument);
      counts.killed++;
    }
  }
  await Promise.all(waiting);
  // A last edit of each, so that what is said of it is said of this text.
  for (const document of documents.values()) {
    TextDocument.update(document, [{ text: `${document.getText()}\n# end\n` }], 1_000_000);
    client.write(replaced(document.uri, document));
  }
  const expected = await afresh(folder, [...documents.values()]);
  let right = 0;
  for (const [uri, { version }] of documents) {
    expect(await answers(client, uri, version)).toBe(expected.get(uri));
    right++;
  }
  console.log({ plans, actions, ...counts, right });
  expect(counts.answered + counts.cancelled + counts.refused).toBe(counts.asked);
  expect(right).toBe(plans);
  expect(counts.cancelled).toBeGreaterThan(0);
  expect(counts.killed).toBeGreaterThan(0);
  expect(await client.stop()).toBe(0);
});
