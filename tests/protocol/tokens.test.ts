import { describe, expect, it } from 'vitest';
import type { SemanticTokens, SemanticTokensDelta } from 'vscode-languageserver/node';
import type { TestClient } from './client.ts';
import { faultyPlan, startClient } from './folder.ts';

const uri = 'untitled:lamp.repair-plan.yaml';

const ask = <R>(client: TestClient, what: string, params: object = {}): Promise<R> =>
  client.connection.sendRequest(`textDocument/semanticTokens/${what}`, { textDocument: { uri }, ...params });

/** Absolute positions; the encoding is that of the Language Server Protocol 3.17, "Semantic Tokens". */
function decoded(data: readonly number[]): string[] {
  let [line, character] = [0, 0];
  const found: string[] = [];
  for (let i = 0; i < data.length; i += 5) {
    const [down, right, length, type, modifiers] = data.slice(i, i + 5) as [
      number,
      number,
      number,
      number,
      number,
    ];
    character = down > 0 ? right : character + right;
    line += down;
    found.push(`${line}:${character}+${length} ${type}.${modifiers}`);
  }
  return found;
}

async function opened(): Promise<TestClient> {
  const client = await startClient(undefined);
  await client.open(uri, faultyPlan);
  return client;
}

describe('semantic tokens', () => {
  it('of a range are those of its lines', async () => {
    const client = await opened();
    expect(client.initialized.capabilities.semanticTokensProvider).toMatchObject({
      full: { delta: true },
      range: true,
    });
    const all = decoded((await ask<SemanticTokens>(client, 'full')).data);
    const range = { start: { line: 6, character: 0 }, end: { line: 7, character: 0 } };
    const { data } = await ask<SemanticTokens>(client, 'range', { range });
    expect(decoded(data)).toEqual(all.filter((token) => token.startsWith('6:')));
    expect(decoded(data)).toHaveLength(3);
    expect(client.errors).toEqual([]);
  });

  it('after an edit are sent as the difference, which leads to what a fresh request gives', async () => {
    const client = await opened();
    let last = await ask<SemanticTokens>(client, 'full');
    const texts = [
      faultyPlan.replace('op10', 'op100'),
      faultyPlan.replace('  - { id: op20', '  - { id: op15, do: cover, connectors: [lamp] }\n  - { id: op20'),
      faultyPlan,
      'plan: HL-0900\n',
      faultyPlan,
    ];
    for (const [i, text] of texts.entries()) {
      await client.change(uri, i + 2, { text });
      const delta = await ask<SemanticTokensDelta>(client, 'full/delta', { previousResultId: last.resultId });
      const data = [...last.data];
      for (const edit of delta.edits) data.splice(edit.start, edit.deleteCount, ...(edit.data ?? []));
      const range = { start: { line: 0, character: 0 }, end: { line: 99, character: 0 } };
      expect(data).toEqual((await ask<SemanticTokens>(client, 'range', { range })).data);
      last = { resultId: delta.resultId!, data };
    }
    const unchanged = await ask<SemanticTokensDelta>(client, 'full/delta', {
      previousResultId: last.resultId,
    });
    expect(unchanged.edits).toEqual([]);
    expect(client.errors).toEqual([]);
  });

  it('are sent whole to whoever asks for the difference from something else', async () => {
    const client = await opened();
    const first = await ask<SemanticTokens>(client, 'full');
    const second = await ask<SemanticTokens>(client, 'full');
    for (const previousResultId of [first.resultId, 'nothing of the kind']) {
      const whole = await ask<SemanticTokens>(client, 'full/delta', { previousResultId });
      expect(whole.data).toEqual(second.data);
    }
    await client.close(uri);
    await client.open(uri, faultyPlan, 2);
    const again = await ask<SemanticTokens>(client, 'full/delta', { previousResultId: second.resultId });
    expect(again.data ?? []).toEqual(second.data);
  });
});
