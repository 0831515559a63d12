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
      title.startsWith('Fix all that has a fix in the plan'),
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

  it('that change the work or the bill ask before they are applied; those that correct a slip do not', async () => {
    const workspaceEdit = { documentChanges: true, changeAnnotationSupport: { groupsOnLabel: true } };
    const asking = { ...ableClient, workspace: { ...ableClient.workspace, workspaceEdit } };
    const client = await startClient(undefined, asking);
    await client.open(uri, faultyPlan.replace('description:', 'descripton:'));
    const offered = await client.codeActions(uri, everything);
    const actions = await Promise.all(
      offered.map(async (codeAction) => (codeAction.edit ? codeAction : resolve(client, codeAction))),
    );
    const asks = ({ edit }: CodeAction): boolean[] => {
      const annotations = edit!.changeAnnotations ?? {};
      return (edit!.documentChanges as TextDocumentEdit[]).flatMap(({ edits }) =>
        edits.map((one) => {
          const id = 'annotationId' in one ? one.annotationId : undefined;
          return id !== undefined && annotations[id]?.needsConfirmation === true;
        }),
      );
    };
    const of = (code: string) =>
      actions.filter(
        ({ diagnostics, title }) => diagnostics?.[0]?.code === code && !title.startsWith('Accept'),
      );
    expect(of('key-unknown').flatMap(asks)).toEqual([false]);
    expect(new Set(of('bare-connector').flatMap(asks))).toEqual(new Set([true]));
    const all = actions.find(({ title }) => title.startsWith('Fix all that has a fix in the plan'))!;
    expect(new Set(asks(all))).toEqual(new Set([true]));
    expect(Object.values(all.edit!.changeAnnotations!)).toEqual([
      {
        label: all.title,
        description: expect.stringContaining("the vehicle maker's procedure decides") as string,
        needsConfirmation: true,
      },
    ]);
    const onSave = await client.codeActions(uri, everything, { only: ['source.fixAll'] });
    expect(asks(await resolve(client, onSave[0]!))).toEqual([false]);
  });

  it('offer to accept a finding, with places to fill in for a client that takes them', async () => {
    const offers = async (snippetEditSupport: boolean) => {
      const workspaceEdit = { documentChanges: true, snippetEditSupport };
      const client = await startClient(undefined, {
        ...ableClient,
        workspace: { ...ableClient.workspace, workspaceEdit },
      });
      await client.open(uri, faultyPlan);
      const actions = await client.codeActions(uri, everything, { only: ['quickfix'] });
      const found = actions.find(({ title }) => title === 'Accept bare-connector at op10…');
      expect(found).toMatchObject({ kind: 'quickfix', diagnostics: [{ code: 'bare-connector' }] });
      expect(found).not.toHaveProperty('isPreferred');
      return { client, found: found! };
    };
    const able = await offers(true);
    const line = (reason: string, by: string, until: string): string =>
      `accepted:\n  - { finding: bare-connector, at: op10, reason: "${reason}", by: "${by}", until: ${until} }\n`;
    expect(able.found.edit!.documentChanges).toEqual([
      {
        textDocument: { uri, version: 1 },
        edits: [
          expect.objectContaining({ snippet: { kind: 'snippet', value: line('$1', '$2', '$3') } }) as object,
        ],
      },
    ]);
    const other = await offers(false);
    const { fixed, findings } = await apply(other.client, faultyPlan, other.found);
    expect(fixed).toBe(faultyPlan + line('', '', ''));
    // Nobody has answered for it yet.
    expect(findings.map(({ code }) => code)).toContain('bare-connector');
  });
});
