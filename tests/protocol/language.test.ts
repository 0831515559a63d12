import { writeFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, it } from 'vitest';
import { CompletionTriggerKind } from 'vscode-languageserver/node';
import type {
  CodeLens,
  CompletionContext,
  CompletionItem,
  CompletionList,
  DocumentHighlight,
  DocumentLink,
  DocumentSymbol,
  FoldingRange,
  InlayHint,
  Location,
  Position,
  SelectionRange,
  SemanticTokens,
  SymbolInformation,
  TextEdit,
  WorkspaceEdit,
} from 'vscode-languageserver/node';
import { ableClient, fileUri } from './client.ts';
import type { TestClient } from './client.ts';
import { startClient, temporaryFolder } from './folder.ts';

const list = `connector-list: kestrel
connectors:
  - { id: lamp, class: low-voltage, zone: quarter-left }
`;
const planText = (number: string): string => `plan: ${number}
vehicle: { description: Kestrel estate (invented), propulsion: battery-electric, system-voltage: 400 V }
uses: [./kestrel.connector-list.yaml]
operations:
  - { id: op10, do: disconnect, connectors: [lamp], time: 0.5 h }
  - { id: op20, do: cover, connectors: [lamp], after: [op10] }
  - { id: op30, do: grind, zone: quarter-left }
`;

/** A folder with a list and two plans that use it, of which only the first is open. */
async function twoPlans(...rest: Parameters<typeof startClient> extends [unknown, ...infer R] ? R : never) {
  const folder = temporaryFolder();
  const file = (name: string): string => path.join(folder, name);
  writeFileSync(file('kestrel.connector-list.yaml'), list);
  writeFileSync(file('one.repair-plan.yaml'), planText('X-1'));
  writeFileSync(file('two.repair-plan.yaml'), planText('X-2'));
  const client = await startClient(folder, ...rest);
  const uri = fileUri(file('one.repair-plan.yaml'));
  await client.open(uri, planText('X-1'));
  const ask = <R>(method: string, params: object = {}): Promise<R> =>
    client.connection.sendRequest(method, { textDocument: { uri }, ...params });
  return {
    client,
    uri,
    ask,
    list: fileUri(file('kestrel.connector-list.yaml')),
    two: fileUri(file('two.repair-plan.yaml')),
  };
}

/** Where `word` stands first in the plan, and a few letters into it. */
function inPlan(word: string, into = 0): Position {
  const lines = planText('X-1').split('\n');
  const line = lines.findIndex((one) => one.includes(word));
  return { line, character: lines[line]!.indexOf(word) + into };
}

const at = ({ uri, range }: Location): string =>
  `${path.basename(uri).split('.')[0]!}:${range.start.line + 1}`;

async function noErrors(client: TestClient): Promise<void> {
  expect(client.errors).toEqual([]);
  expect(await client.stop()).toBe(0);
}

describe('names', () => {
  it('are announced', async () => {
    const { client } = await twoPlans();
    expect(client.initialized.capabilities).toMatchObject({
      completionProvider: { triggerCharacters: [' ', '[', '{', ',', '$'] },
      definitionProvider: true,
      referencesProvider: true,
      documentHighlightProvider: true,
      documentSymbolProvider: true,
      workspaceSymbolProvider: true,
      foldingRangeProvider: true,
      selectionRangeProvider: true,
      documentFormattingProvider: true,
      inlayHintProvider: true,
    });
  });

  it('resolve to their definition and to every reference, in closed files too', async () => {
    const { client, ask } = await twoPlans();
    const position = inPlan('lamp', 1);
    expect((await ask<Location[]>('textDocument/definition', { position })).map(at)).toEqual(['kestrel:3']);
    const context = { includeDeclaration: true };
    const found = await ask<Location[]>('textDocument/references', { position, context });
    expect(found.map(at).sort()).toEqual(['kestrel:3', 'one:5', 'one:6', 'two:5', 'two:6']);
    const lit = await ask<DocumentHighlight[]>('textDocument/documentHighlight', {
      position: inPlan('op10', 1),
    });
    expect(lit.map(({ range, kind }) => [range.start.line, kind])).toEqual([
      [4, 3],
      [5, 2],
    ]);
    await noErrors(client);
  });

  it('are renamed in every file at once', async () => {
    const { client, ask, uri, list: listUri, two } = await twoPlans();
    const position = inPlan('lamp', 1);
    const edit = await ask<WorkspaceEdit>('textDocument/rename', { position, newName: 'tail-lamp' });
    const changes = (edit.documentChanges ?? []) as {
      textDocument: { uri: string; version: number | null };
      edits: TextEdit[];
    }[];
    expect(new Set(changes.map((one) => one.textDocument.uri))).toEqual(new Set([uri, listUri, two]));
    expect(changes.find((one) => one.textDocument.uri === uri)?.textDocument.version).toBe(1);
    for (const { edits } of changes) for (const { newText } of edits) expect(newText).toBe('tail-lamp');
    await noErrors(client);
  });

  it('are not renamed if that cannot be done completely, and the reason is given', async () => {
    const prepares = {
      ...ableClient,
      textDocument: { ...ableClient.textDocument, rename: { prepareSupport: true } },
    };
    const { client, ask } = await twoPlans(prepares);
    expect(client.initialized.capabilities.renameProvider).toEqual({ prepareProvider: true });
    expect(await ask('textDocument/prepareRename', { position: inPlan('lamp', 1) })).toMatchObject({
      placeholder: 'lamp',
    });
    await expect(ask('textDocument/prepareRename', { position: inPlan('grind', 1) })).rejects.toThrow(
      'built-in task',
    );
    await expect(
      ask('textDocument/rename', { position: inPlan('op10', 1), newName: 'op20' }),
    ).rejects.toThrow('op20');
    await noErrors(client);
  });
});

describe('completion', () => {
  const typed = planText('X-1').replace('grind', 'gr');
  it('offers what is in scope, with its documentation', async () => {
    const { client, ask, uri } = await twoPlans({
      textDocument: {
        completion: { completionItem: { snippetSupport: true, documentationFormat: ['markdown'] } },
      },
    });
    await client.change(uri, 2, { text: typed });
    const { items } = await ask<CompletionList>('textDocument/completion', { position: inPlan('grind', 2) });
    const grind = items.find(({ label }) => label === 'grind')!;
    expect(grind.textEdit).toMatchObject({
      newText: 'grind',
      range: { start: inPlan('grind'), end: inPlan('grind', 2) },
    });
    expect(grind.documentation).toMatchObject({
      kind: 'markdown',
      value: expect.stringContaining('metal debris') as string,
    });
    expect([...items].sort((a, b) => a.sortText!.localeCompare(b.sortText!))).toEqual(items);
    await noErrors(client);
  });

  it('documents an item when it is resolved, if the client supports that', async () => {
    const resolveSupport = { properties: ['documentation'] };
    const { client, ask, uri } = await twoPlans({
      textDocument: { completion: { completionItem: { resolveSupport } } },
    });
    await client.change(uri, 2, { text: typed });
    const { items } = await ask<CompletionList>('textDocument/completion', { position: inPlan('grind', 2) });
    expect(items.filter(({ documentation }) => documentation)).toEqual([]);
    await client.change(uri, 3, { text: typed.replace('gr', 'gri') });
    const grind = items.find(({ label }) => label === 'grind')!;
    const resolved = await client.connection.sendRequest<CompletionItem>('completionItem/resolve', grind);
    expect(resolved).toMatchObject({
      ...grind,
      documentation: { value: expect.stringContaining('metal debris') as string },
    });
    const unknown = { ...grind, label: 'nothing of the kind' };
    expect(await client.connection.sendRequest('completionItem/resolve', unknown)).toEqual(unknown);
    await noErrors(client);
  });

  it('inside a word is inserted or replaces it, with its detail beside the label, if the client supports that', async () => {
    const completionItem = { insertReplaceSupport: true, labelDetailsSupport: true };
    const { client, ask } = await twoPlans({ textDocument: { completion: { completionItem } } });
    const [start, middle, end] = [inPlan('grind'), inPlan('grind', 2), inPlan('grind', 5)];
    const offered = async (position: Position) =>
      (await ask<CompletionList>('textDocument/completion', { position })).items.find(
        ({ label }) => label === 'grind',
      )!;
    const grind = await offered(middle);
    expect(grind.textEdit).toEqual({
      newText: 'grind',
      insert: { start, end: middle },
      replace: { start, end },
    });
    expect(grind.labelDetails).toEqual({ description: expect.stringContaining('metal debris') as string });
    // At the end of a word both are the same.
    expect((await offered(end)).textEdit).toEqual({ newText: 'grind', range: { start, end } });
    const plain = await twoPlans({});
    const { items } = await plain.ask<CompletionList>('textDocument/completion', { position: middle });
    const other = items.find(({ label }) => label === 'grind')!;
    expect(other).not.toHaveProperty('labelDetails');
    expect(other.textEdit).toEqual({ newText: 'grind', range: { start, end } });
    await noErrors(client);
  });

  it('asks a client to ask again after a list that a character opened', async () => {
    const { client, ask, uri } = await twoPlans();
    await client.change(uri, 2, { text: `${planText('X-1')}  - ` });
    const position = { line: 7, character: 4 };
    const offered = (context: CompletionContext) =>
      ask<CompletionList>('textDocument/completion', { position, context });
    const opened = await offered({
      triggerKind: CompletionTriggerKind.TriggerCharacter,
      triggerCharacter: ' ',
    });
    const again = await offered({ triggerKind: CompletionTriggerKind.TriggerForIncompleteCompletions });
    expect([opened.isIncomplete, again.isIncomplete]).toEqual([true, false]);
    expect(opened.items).toEqual(again.items);
    await noErrors(client);
  });

  it.each([true, false])('writes steps as snippets: %s', async (snippetSupport) => {
    const { client, ask, uri } = await twoPlans({
      textDocument: { completion: { completionItem: { snippetSupport } } },
    });
    await client.change(uri, 2, { text: `${planText('X-1')}  - ` });
    const { items } = await ask<CompletionList>('textDocument/completion', {
      position: { line: 7, character: 4 },
    });
    const steps = items.find(({ label }) => label === 'disconnect and cover')!;
    const text = (steps.textEdit as TextEdit).newText;
    expect(text.split('\n')).toHaveLength(2);
    expect(text.includes('$')).toBe(snippetSupport);
    expect(steps.insertTextFormat).toBe(snippetSupport ? 2 : undefined);
    await noErrors(client);
  });
});

it('the shape of a file: outline, folds, selections, tokens, links, tidying', async () => {
  const { client, ask, uri } = await twoPlans();
  const symbols = await ask<DocumentSymbol[]>('textDocument/documentSymbol');
  expect(symbols.map(({ name }) => name)).toEqual(['plan', 'vehicle', 'uses', 'operations']);
  expect(symbols[3]!.children!.map(({ name }) => name)).toEqual(['op10', 'op20', 'op30']);
  expect(await ask<FoldingRange[]>('textDocument/foldingRange')).toContainEqual({ startLine: 3, endLine: 6 });
  const [selection] = await ask<SelectionRange[]>('textDocument/selectionRange', {
    positions: [inPlan('lamp', 1)],
  });
  expect(selection!.range).toEqual({ start: inPlan('lamp'), end: inPlan('lamp', 4) });
  expect(selection!.parent).toBeDefined();
  const { data } = await ask<SemanticTokens>('textDocument/semanticTokens/full');
  expect(data.length % 5).toBe(0);
  expect(data.length).toBeGreaterThan(50);
  const links = await ask<DocumentLink[]>('textDocument/documentLink');
  expect(links.map(({ target }) => target!.split('/').at(-1))).toEqual(['kestrel.connector-list.yaml']);
  const options = { tabSize: 2, insertSpaces: true };
  expect(await ask<TextEdit[]>('textDocument/formatting', { options })).toEqual([]);
  await client.change(uri, 2, { text: planText('X-1').replace('X-1', 'X-1  ') });
  expect(await ask<TextEdit[]>('textDocument/formatting', { options })).toEqual([
    { range: { start: { line: 0, character: 9 }, end: { line: 0, character: 11 } }, newText: '' },
  ]);
  await noErrors(client);
});

it('symbols of closed files are found, and appear and disappear with their files', async () => {
  const { client, two } = await twoPlans();
  const ask = () => client.connection.sendRequest<SymbolInformation[]>('workspace/symbol', { query: 'X-' });
  expect((await ask()).map(({ name }) => name)).toEqual(['X-1', 'X-2']);
  const { unlinkSync } = await import('node:fs');
  unlinkSync(new URL(two));
  await client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: two, type: 3 }] });
  expect((await ask()).map(({ name }) => name)).toEqual(['X-1']);
  await noErrors(client);
});

it('lenses show what is missing and which files use a list', async () => {
  const { client, ask, list: listUri } = await twoPlans(ableClient, { showsPlaces: true });
  const lenses = await ask<CodeLens[]>('textDocument/codeLens');
  expect(lenses.map(({ command }) => command!.title).join()).toContain('2 labour lines');
  expect(lenses[0]!.command!.command).toBe('plugward.showPlaces');
  await client.open(listUri, list);
  const [used] = await client.connection.sendRequest<CodeLens[]>('textDocument/codeLens', {
    textDocument: { uri: listUri },
  });
  expect(used!.command!.title).toBe('used by 2 plans');
  await noErrors(client);
});

it('hints are shown if the setting is on', async () => {
  const range = { start: { line: 0, character: 0 }, end: { line: 9, character: 0 } };
  const quiet = await twoPlans();
  expect(await quiet.ask<InlayHint[]>('textDocument/inlayHint', { range })).toEqual([]);
  const talking = await twoPlans({}, { hints: { duration: true, order: true } });
  const hints = await talking.ask<InlayHint[]>('textDocument/inlayHint', { range });
  expect(hints.map(({ label }) => label)).toEqual([' = 30 min', ' after op20']);
  await noErrors(talking.client);
});

it('a new plan uses the shop files of its folder', async () => {
  const { client, uri } = await twoPlans();
  const folder = uri.slice(0, uri.lastIndexOf('/'));
  const { snippet } = await client.connection.sendRequest<{ snippet: string }>('plugward/newFile', {
    kind: 'repair-plan',
    name: 'X-3',
    folder,
  });
  expect(snippet).toContain('plan: X-3\n');
  expect(snippet).toContain('  - ./kestrel.connector-list.yaml\n');
  await noErrors(client);
});
