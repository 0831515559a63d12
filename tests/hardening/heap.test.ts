import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { setTimeout } from 'node:timers/promises';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { describe, expect, onTestFinished, test, vi } from 'vitest';
import { benchSheet, planOf } from '../bench/plans.ts';
import { ableClient, fileUri, peakMemory, TestClient } from '../protocol/client.ts';
import { temporaryFolder } from '../protocol/folder.ts';

/**
 * A day of work must leave the server's heap where it was. `PLUGWARD_HEAP_ROUNDS=5000 npx vitest run -c
 * .config/vitest.config.mts tests/hardening/heap` is the long run.
 */
const rounds = Number(process.env['PLUGWARD_HEAP_ROUNDS'] ?? 400);
vi.setConfig({ testTimeout: 120_000 + rounds * 100 });

/** How far the heap may have moved after the rounds. Unit: MB. */
const allowance = 5;
/** Rounds before the first look: what is kept for a bounded time has come to its bound by then. */
const warmUp = 100;

const lines = 300;
const plan = planOf(lines);

/** A server that nobody has spoken to, which tells of its heap in the file `record`. */
function started(): { folder: string; client: TestClient; record: string } {
  const folder = temporaryFolder();
  const record = path.join(folder, 'heap');
  const client = new TestClient({
    ...process.env,
    PLUGWARD_HEAP: record,
    NODE_OPTIONS: `--require ${path.resolve('tests/hardening/heap-probe.cjs')}`,
  });
  onTestFinished(() => client.kill());
  return { folder, client, record };
}

/**
 * What a server's heap holds after garbage was collected. Unit: MB.
 * @param look how often it was asked, this time included
 */
async function heapOf(client: TestClient, record: string, look: number): Promise<number> {
  client.process.kill('SIGUSR2');
  for (;;) {
    // A line counts once it has its end: the file is there before anything stands in it.
    const found = existsSync(record) ? readFileSync(record, 'utf8').split('\n').slice(0, -1) : [];
    if (found.length >= look) return Number(found.at(-1)) / 1e6;
    await setTimeout(20);
  }
}

/** A server with the plan open. */
async function opened(): Promise<Session> {
  const { folder, client, record } = started();
  await client.initialize(folder);
  const uri = fileUri(path.join(folder, 'day.repair-plan.yaml'));
  await client.open(uri, plan);
  return new Session(client, TextDocument.create(uri, 'yaml', 1, plan), record);
}

class Session {
  #looks = 0;

  constructor(
    readonly client: TestClient,
    readonly document: TextDocument,
    readonly record: string,
  ) {}

  heap(): Promise<number> {
    return heapOf(this.client, this.record, ++this.#looks);
  }

  /** Changes an id wherever it stands, as a rename does. */
  async rename(from: string, to: string): Promise<void> {
    const text = this.document.getText();
    const changes = [...text.matchAll(new RegExp(`\\b${from}\\b`, 'g'))].reverse().map(({ index }) => ({
      range: {
        start: this.document.positionAt(index),
        end: this.document.positionAt(index + from.length),
      },
      text: to,
    }));
    const version = this.document.version + 1;
    TextDocument.update(this.document, changes, version);
    await this.client.change(this.document.uri, version, ...changes);
  }

  /** What an editor asks after an edit: the findings by way of the lenses, and what stands at a place now and then. */
  async look(round: number): Promise<void> {
    const textDocument = { uri: this.document.uri };
    const ask = (method: string, more: object = {}): Promise<unknown> =>
      this.client.connection.sendRequest(`textDocument/${method}`, { textDocument, ...more });
    await ask('codeLens');
    if (round % 10 > 0) return;
    const position = this.document.positionAt(this.document.getText().search(/\bid: op2-1\b/) + 60);
    await ask('documentSymbol');
    await ask('semanticTokens/full');
    await ask('hover', { position });
    await ask('completion', { position });
    await ask('codeAction', { range: { start: position, end: position }, context: { diagnostics: [] } });
  }
}

/** The heap after the first rounds and after all of them. */
async function measured(
  session: Session,
  count: number,
  one: (round: number) => Promise<void>,
): Promise<{ first: number; last: number }> {
  let first = 0;
  for (let round = 1; round <= warmUp + count; round++) {
    await one(round);
    if (round === warmUp) first = await session.heap();
  }
  const last = await session.heap();
  console.log(
    `heap after ${warmUp} and ${warmUp + count} rounds: ${first.toFixed(1)} MB, ${last.toFixed(1)} MB`,
  );
  return { first, last };
}

describe('the heap of a server that works all day stays where it was', () => {
  test(`${rounds} renames of one connector`, async () => {
    const session = await opened();
    let id = 'c2';
    const { first, last } = await measured(session, rounds, async (round) => {
      const next = `c2r${round}`;
      await session.rename(id, next);
      id = next;
      await session.look(round);
    });
    expect(Math.abs(last - first)).toBeLessThan(allowance);
  });

  test(`${Math.min(rounds, 500)} changes of the settings`, async () => {
    const session = await opened();
    const levels = ['error', 'warning', 'information', 'off'];
    const { first, last } = await measured(session, Math.min(rounds, 500), async (round) => {
      // No two are alike: the number is written in the levels of six findings.
      const severities = Object.fromEntries(
        ['bare-connector', 'early-uncover', 'weak-cover', 'labour-missing', 'limit-missing', 'unused-id'].map(
          (finding, digit) => [finding, levels[Math.floor(round / 4 ** digit) % 4]],
        ),
      );
      await session.client.notify('workspace/didChangeConfiguration', {
        settings: { plugward: { severities } },
      });
      await session.look(round);
    });
    expect(Math.abs(last - first)).toBeLessThan(allowance);
  });

  test(`${rounds} steps put in and taken out, each with a name of its own`, async () => {
    const session = await opened();
    const { first, last } = await measured(session, rounds, async (round) => {
      const at = session.document.positionAt(session.document.getText().indexOf('  - { id: op2-1'));
      const version = session.document.version + 1;
      const line = `  - { id: new${round}, do: task-${round}, zone: zone-${round}, connectors: [none-${round}] }\n`;
      const text = round % 2 === 1 ? line : '';
      const end = round % 2 === 1 ? at : { ...at };
      const from = round % 2 === 1 ? at : { line: at.line - 1, character: 0 };
      const changes = [{ range: { start: from, end }, text }];
      TextDocument.update(session.document, changes, version);
      await session.client.change(session.document.uri, version, ...changes);
      await session.look(round);
    });
    expect(Math.abs(last - first)).toBeLessThan(allowance);
  });
});

/** A server that has checked a folder of closed plans: its heap after garbage was collected, and its peak. Unit: MB. */
async function afterReading(count: number): Promise<{ heap: number; peak: number | undefined }> {
  const { folder, client, record } = started();
  writeFileSync(path.join(folder, 'bench.rate-sheet.yaml'), benchSheet);
  for (let i = 0; i < count; i++)
    writeFileSync(path.join(folder, `p${i}.repair-plan.yaml`), planOf(200).replace('BENCH-1', `BENCH-${i}`));
  const textDocument = { ...ableClient.textDocument, diagnostic: {} };
  await client.initialize(folder, { ...ableClient, textDocument }, { pullsDiagnostics: true });
  const answer: { items: unknown[] } = await client.connection.sendRequest('workspace/diagnostic', {
    previousResultIds: [],
  });
  expect(answer.items).toHaveLength(count + 1);
  return { heap: await heapOf(client, record, 1), peak: peakMemory(client) };
}

test('of a closed plan little is kept, and what is not is collected meanwhile', async () => {
  const [few, many] = [await afterReading(100), await afterReading(500)];
  console.log(`heap and peak after 100 and 500 closed plans: ${JSON.stringify([few, many])}`);
  // Beside 10 kB of text each has some hundred names, and findings of 12 kB, which are packed.
  expect((many.heap - few.heap) / 400).toBeLessThan(0.015);
  if (many.peak !== undefined) expect(many.peak).toBeLessThan(250);
});
