import { afterEach, describe, expect, it, vi } from 'vitest';
import type { Diagnostic, ProtocolConnection } from 'vscode-languageserver/node';
import { Workspace } from '../../server/src/workspace/workspace.ts';
import { SnapshotPlan } from '../../server/src/plan/plan.ts';
import { startInside } from './inside.ts';

const uri = 'untitled:lamp.repair-plan.yaml';
const plan =
  'plan: lamp\nvehicle: { description: invented, propulsion: hybrid }\noperations:\n  - { id: op10, do: inspect }\n';

async function open(client: ProtocolConnection, text: string): Promise<void> {
  const textDocument = { uri, languageId: 'plugward-repair-plan', version: 1, text };
  await client.sendNotification('textDocument/didOpen', { textDocument });
}

const fault = {
  severity: 1,
  source: 'plugward',
  message: expect.stringContaining('Plugward failed on this file'),
};

afterEach(() => vi.restoreAllMocks());

describe.each([
  [
    'a text that cannot be taken in',
    () =>
      vi.spyOn(Workspace.prototype, 'set').mockImplementation(() => {
        throw new TypeError('no such thing');
      }),
  ],
  [
    'a check that fails',
    () =>
      vi.spyOn(SnapshotPlan.prototype, 'accepted', 'get').mockImplementation(() => {
        throw new TypeError('no such thing');
      }),
  ],
  [
    'a workspace that cannot be made current',
    () =>
      vi.spyOn(Workspace.prototype, 'missingFiles').mockImplementation(() => {
        throw new TypeError('no such thing');
      }),
  ],
])('%s does not look clean', (_, fail) => {
  it('in pushed diagnostics', async () => {
    fail();
    const { client, published } = await startInside({ pulls: false });
    await open(client, plan);
    await vi.waitFor(() => expect(published.at(-1)?.diagnostics).toMatchObject([fault]), 5_000);
  });

  it('in pulled diagnostics', async () => {
    fail();
    const { client } = await startInside({ pulls: true });
    await open(client, plan);
    const params = { textDocument: { uri } };
    const answer: { items: Diagnostic[] } = await client.sendRequest('textDocument/diagnostic', params);
    expect(answer.items).toMatchObject([fault]);
  });

  it('in the status and the lens', async () => {
    fail();
    const { client } = await startInside({ pulls: false });
    await open(client, plan);
    expect(await client.sendRequest('plugward/status', { uri })).toMatchObject({ grave: true });
    const lenses: { command: { title: string } }[] = await client.sendRequest('textDocument/codeLens', {
      textDocument: { uri },
    });
    expect(lenses.map(({ command }) => command.title)).not.toContain('no findings');
  });
});
