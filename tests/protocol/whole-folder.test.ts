import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Diagnostic, TextEdit, WorkspaceEdit } from 'vscode-languageserver/node';
import { fileUri } from './client.ts';
import { temporaryFolder } from './folder.ts';
import { startInside } from './inside.ts';

const list =
  'connector-list: kestrel\nconnectors:\n  - { id: lamp, class: low-voltage, zone: quarter-left }\n';
const plan = (number: number): string => `plan: HL-${number}
vehicle: { description: Kestrel estate (invented), propulsion: hybrid }
uses: [./z.connector-list.yaml]
operations:
  - { id: op10, do: disconnect, connectors: [lamp] }
`;

/** A folder whose list is met after all its plans. */
function folderOf(plans: readonly string[]): { folder: string; listUri: string; uris: string[] } {
  const folder = temporaryFolder();
  writeFileSync(path.join(folder, 'z.connector-list.yaml'), list);
  plans.forEach((name, i) => {
    mkdirSync(path.dirname(path.join(folder, name)), { recursive: true });
    writeFileSync(path.join(folder, name), plan(i));
  });
  const uriOf = (name: string): string => fileUri(path.join(folder, name));
  return { folder, listUri: uriOf('z.connector-list.yaml'), uris: plans.map(uriOf) };
}

const numbered = (count: number): string[] =>
  Array.from({ length: count }, (_, i) => `p${i}.repair-plan.yaml`);

type Inside = Awaited<ReturnType<typeof startInside>>;

async function open({ client }: Inside, uri: string): Promise<void> {
  const text = readFileSync(new URL(uri), 'utf8');
  await client.sendNotification('textDocument/didOpen', {
    textDocument: { uri, languageId: 'plugward', version: 1, text },
  });
}

const position = { line: 2, character: 11 };
const rename = ({ client }: Inside, uri: string, at = position): Promise<WorkspaceEdit> =>
  client.sendRequest('textDocument/rename', { textDocument: { uri }, position: at, newName: 'tail-lamp' });

const changed = (edit: WorkspaceEdit): Map<string, TextEdit[]> =>
  new Map(
    (edit.documentChanges as { textDocument: { uri: string }; edits: TextEdit[] }[]).map((one) => [
      decodeURIComponent(one.textDocument.uri),
      one.edits,
    ]),
  );

describe('a folder of 3,000 plans', () => {
  it('has a connector renamed in every one of them', { timeout: 120_000 }, async () => {
    const { folder, listUri, uris } = folderOf(numbered(3_000));
    const inside = await startInside({ pulls: false, folder });
    await open(inside, listUri);
    const edits = changed(await rename(inside, listUri));
    expect(edits.size).toBe(3_001);
    for (const uri of uris) expect(edits.get(decodeURIComponent(uri))).toHaveLength(1);
    expect(inside.shown).toEqual([]);
  });
});

describe('a folder with more plans than are kept', () => {
  const start = async (): Promise<Inside & ReturnType<typeof folderOf>> => {
    const made = folderOf(numbered(30));
    // Room for ten of them.
    const inside = await startInside({ pulls: true, folder: made.folder, maxText: 10 * plan(0).length - 5 });
    return { ...inside, ...made };
  };

  it('says so on the screen, once', async () => {
    const inside = await start();
    await open(inside, inside.listUri);
    for (let times = 0; times < 2; times++)
      await inside.client.sendRequest('textDocument/codeLens', { textDocument: { uri: inside.listUri } });
    expect(inside.shown).toMatchObject([{ type: 2, message: expect.stringMatching(/: 20 are not read/) }]);
  });

  it('has no name of a shared file renamed in some of them only', async () => {
    const inside = await start();
    await open(inside, inside.listUri);
    await expect(rename(inside, inside.listUri)).rejects.toThrow('not read (20)');
    await open(inside, inside.uris[0]!);
    await expect(rename(inside, inside.uris[0]!, { line: 4, character: 46 })).rejects.toThrow('not read (');
  });

  it('says the same where there are more files than are listed', async () => {
    const { folder, listUri } = folderOf(numbered(30));
    const inside = await startInside({ pulls: true, folder, maxListed: 30 });
    await open(inside, listUri);
    await expect(rename(inside, listUri)).rejects.toThrow('not read (1)');
    expect(inside.shown).toMatchObject([{ type: 2, message: expect.stringMatching(/: 1 are not read/) }]);
    const all = await startInside({ pulls: true, folder, maxListed: 31 });
    await open(all, listUri);
    expect(changed(await rename(all, listUri)).size).toBe(31);
    expect(all.shown).toEqual([]);
  });

  it('has a name of one plan renamed as ever', async () => {
    const inside = await start();
    await open(inside, inside.uris[29]!);
    const edits = changed(await rename(inside, inside.uris[29]!, { line: 4, character: 11 }));
    expect([...edits.keys()]).toEqual([decodeURIComponent(inside.uris[29]!)]);
  });

  it('misses no shared file: what is there is not reported as missing', async () => {
    const inside = await start();
    const answer: { items: { uri: string; items?: Diagnostic[] }[] } = await inside.client.sendRequest(
      'workspace/diagnostic',
      { previousResultIds: [] },
    );
    expect(answer.items).toHaveLength(11);
    const codes = answer.items.flatMap(({ items }) => items ?? []).map(({ code }) => code);
    expect(codes).toContain('labour-missing');
    expect(codes).not.toContain('file-missing');
  });
});

describe('names of files', () => {
  const names = [
    'job #12.repair-plan.yaml',
    '50% off.repair-plan.yaml',
    'a%23b.repair-plan.yaml',
    'Tür übrig.repair-plan.yaml',
    'con.repair-plan.yaml',
    `${'long-'.repeat(40)}.repair-plan.yaml`,
  ];

  it('with #, ?, %, blanks and umlauts hide no plan from a rename', async () => {
    const { folder, listUri, uris } = folderOf([...names, 'why?.repair-plan.yaml']);
    const inside = await startInside({ pulls: false, folder });
    await open(inside, listUri);
    const edits = changed(await rename(inside, listUri));
    for (const uri of uris) expect([...edits.keys()]).toContain(decodeURIComponent(uri));
    expect(edits.size).toBe(names.length + 2);
  });

  it('are told as missing by none of the spellings under `uses:`', async () => {
    const folder = temporaryFolder();
    const lists = ['a #1.connector-list.yaml', 'b%23.connector-list.yaml', 'c ü?.connector-list.yaml'];
    for (const name of lists) writeFileSync(path.join(folder, name), list);
    const file = path.join(folder, 'p.repair-plan.yaml');
    const uses = lists.map((name) => `  - "./${name}"`).join('\n');
    writeFileSync(file, plan(1).replace('uses: [./z.connector-list.yaml]', `uses:\n${uses}`));
    const inside = await startInside({ pulls: true, folder });
    await open(inside, fileUri(file));
    const answer: { items: Diagnostic[] } = await inside.client.sendRequest('textDocument/diagnostic', {
      textDocument: { uri: fileUri(file) },
    });
    expect(answer.items.map(({ code }) => code)).not.toContain('file-missing');
  });
});
