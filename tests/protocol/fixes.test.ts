import type { CodeAction, Range, TextDocumentEdit, TextEdit } from 'vscode-languageserver/node';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { describe, expect, it } from 'vitest';
import { ableClient } from './client.ts';
import type { TestClient } from './client.ts';
import { faultyPlan, startClient } from './folder.ts';

const uri = 'untitled:lamp.repair-plan.yaml';
const everything: Range = { start: { line: 0, character: 0 }, end: { line: 9, character: 0 } };

/** The edits of an action, which are all in the one open file as it was opened. */
function textEdits({ edit }: CodeAction): TextEdit[] {
  const changes = edit!.documentChanges as TextDocumentEdit[];
  expect(changes.map(({ textDocument }) => textDocument)).toEqual([{ uri, version: 1 }]);
  return changes.flatMap(({ edits }) => edits) as TextEdit[];
}

function applied(text: string, edits: TextEdit[]): string {
  return TextDocument.applyEdits(TextDocument.create(uri, 'plugward-repair-plan', 1, text), edits);
}

/** Applies an action to the text the server holds, and returns the findings of the result. */
async function apply(client: TestClient, text: string, action: CodeAction) {
  const fixed = applied(text, textEdits(action));
  await client.change(uri, 2, { text: fixed });
  return { fixed, findings: await client.diagnostics(uri, 2) };
}

function resolve(client: TestClient, action: CodeAction): Promise<CodeAction> {
  return client.connection.sendRequest('codeAction/resolve', action);
}

describe('code actions', () => {
  it('fix the finding at their position and nothing else', async () => {
    const client = await startClient(undefined);
    await client.open(uri, faultyPlan);
    const bare = (await client.diagnostics(uri, 1)).find(({ code }) => code === 'bare-connector');
    const actions = await client.codeActions(uri, bare!.range);
    const action = actions.find(({ diagnostics }) => diagnostics?.[0]?.code === 'bare-connector');
    expect(action).toMatchObject({ kind: 'quickfix' });
    // A new step is work that is billed: never something an editor may apply unseen.
    expect(action).not.toHaveProperty('isPreferred');
    const { fixed, findings } = await apply(client, faultyPlan, action!);
    expect(findings.map(({ code }) => code)).not.toContain('bare-connector');
    for (const line of faultyPlan.trimEnd().split('\n')) expect(fixed.split('\n')).toContain(line);
  });

  it('have no edits until resolved, and are rejected if the text has changed since', async () => {
    const client = await startClient(undefined);
    const two = faultyPlan
      .replace('operations:', '  - { id: sensor, class: sensor, zone: quarter-left }\noperations:')
      .replace('[lamp] }', '[lamp] }\n  - { id: op15, do: disconnect, connectors: [sensor] }');
    await client.open(uri, two);
    const actions = await client.codeActions(uri, everything);
    const kind = actions.find(({ title }) => title === 'Fix all of this kind in the plan (bare-connector)');
    expect(kind?.edit).toBeUndefined();
    const chosen = await resolve(client, kind!);
    const { findings } = await apply(client, two, chosen);
    expect(findings.map(({ code }) => code)).not.toContain('bare-connector');
    await expect(resolve(client, kind!)).rejects.toMatchObject({ code: -32801 });
  });

  it('fix everything only on explicit request; on save only safe fixes', async () => {
    const client = await startClient(undefined);
    const slip = faultyPlan.replace('description:', 'descripton:');
    await client.open(uri, slip);
    const [save, ...others] = await client.codeActions(uri, everything, { only: ['source.fixAll'] });
    expect(others).toEqual([]);
    expect(save).toMatchObject({ kind: 'source.fixAll.plugward' });
    const safe = await resolve(client, save!);
    expect(textEdits(safe).map((edit) => applied(slip, [edit]))).toEqual([faultyPlan]);
    const preferred = (await client.codeActions(uri, everything)).filter(({ isPreferred }) => isPreferred);
    expect(preferred.map(({ diagnostics }) => diagnostics![0]!.code)).toEqual(['key-unknown']);

    const all = (await client.codeActions(uri, everything, { only: ['quickfix'] })).find(({ title }) =>
      title.startsWith('Fix everything in the plan'),
    );
    const { findings } = await apply(client, slip, await resolve(client, all!));
    expect(findings.map(({ code }) => code)).not.toContain('bare-connector');
  });

  it('that have their edits stay as they are when they are resolved', async () => {
    const client = await startClient(undefined);
    await client.open(uri, faultyPlan);
    const actions = await client.codeActions(uri, everything);
    const complete = actions.filter(({ edit }) => edit);
    expect(complete.length).toBeGreaterThan(0);
    for (const action of complete) expect(await resolve(client, action)).toEqual(action);
    expect(client.errors).toEqual([]);
  });

  it('include their edits if the client cannot resolve, but not on every cursor move', async () => {
    const client = await startClient(undefined, { ...ableClient, textDocument: {} });
    await client.open(uri, faultyPlan);
    const invoked = await client.codeActions(uri, everything, { triggerKind: 1 });
    expect(invoked.filter(({ edit }) => !edit)).toEqual([]);
    const moving = await client.codeActions(uri, everything, { triggerKind: 2 });
    expect(moving.map(({ title }) => title)).not.toContainEqual(expect.stringMatching(/everything/));
  });
});
