import { mkdirSync, renameSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, it } from 'vitest';
import type { TextDocumentEdit, TextEdit, WorkspaceEdit } from 'vscode-languageserver/node';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { ableClient, fileUri } from './client.ts';
import { startClient, temporaryFolder } from './folder.ts';

const renaming = {
  ...ableClient,
  workspace: { ...ableClient.workspace, fileOperations: { willRename: true } },
};

const list = `connector-list: kestrel
connectors:
  - { id: lamp, class: low-voltage, zone: quarter-left }
`;
const plan = (uses: string): string => `plan: X-1
vehicle: { description: Kestrel estate (invented), propulsion: battery-electric, system-voltage: 400 V }
uses: ${uses}
operations:
  - { id: op10, do: disconnect, connectors: [lamp] }
evidence:
  - { for: op10, photo: './photos/op10.jpg' }
`;

/** Writes files, asks what goes with the moves, and does both. */
async function move(
  files: Record<string, string>,
  ...moves: readonly (readonly [from: string, to: string])[]
) {
  const folder = temporaryFolder();
  const at = (name: string): string => path.join(folder, name);
  for (const [name, text] of Object.entries(files)) {
    mkdirSync(path.dirname(at(name)), { recursive: true });
    writeFileSync(at(name), text);
  }
  const client = await startClient(folder, renaming);
  const edit = await client.connection.sendRequest<WorkspaceEdit | null>('workspace/willRenameFiles', {
    files: moves.map(([from, to]) => ({ oldUri: fileUri(at(from)), newUri: fileUri(at(to)) })),
  });
  const changed: Record<string, string> = {};
  for (const { textDocument, edits } of (edit?.documentChanges ?? []) as TextDocumentEdit[]) {
    const name = path.relative(folder, new URL(textDocument.uri).pathname);
    const text = files[decodeURIComponent(name)]!;
    const document = TextDocument.create(textDocument.uri, 'yaml', 1, text);
    changed[name] = TextDocument.applyEdits(document, edits as TextEdit[]);
    writeFileSync(at(decodeURIComponent(name)), changed[name]);
  }
  for (const [from, to] of moves) {
    mkdirSync(path.dirname(at(to)), { recursive: true });
    renameSync(at(from), at(to));
  }
  expect(client.errors).toEqual([]);
  return { changed, client, at };
}
const lineOf = (text: string | undefined, key: string): string | undefined =>
  text
    ?.split('\n')
    .find((line) => line.includes(key))
    ?.trim();

describe('a file that is renamed', () => {
  it('is announced for plans, photographs and folders, to a client that tells', async () => {
    const client = await startClient(undefined, renaming);
    const { filters } = client.initialized.capabilities.workspace!.fileOperations!.willRename!;
    expect(filters.map(({ pattern }) => pattern.matches)).toEqual(['file', 'folder']);
    expect(client.initialized.capabilities.workspace!.workspaceFolders).toEqual({
      supported: true,
      changeNotifications: true,
    });
    expect((await startClient(undefined)).initialized.capabilities.workspace?.fileOperations).toBeUndefined();
  });

  it.each([
    ['[./kestrel.connector-list.yaml]', '[./kestrel-estate.connector-list.yaml]'],
    ["['kestrel.connector-list.yaml']", "['./kestrel-estate.connector-list.yaml']"],
    ['["./kestrel.connector-list.yaml"]', '["./kestrel-estate.connector-list.yaml"]'],
  ])('uses: %s follows, in files that are closed', async (before, after) => {
    const files = { 'kestrel.connector-list.yaml': list, 'a.repair-plan.yaml': plan(before) };
    const { changed, client, at } = await move(files, [
      'kestrel.connector-list.yaml',
      'kestrel-estate.connector-list.yaml',
    ]);
    expect(changed).toEqual({ 'a.repair-plan.yaml': plan(after) });
    const uri = fileUri(at('a.repair-plan.yaml'));
    await client.open(uri, changed['a.repair-plan.yaml']!);
    expect((await client.diagnostics(uri, 1)).map(({ code }) => code)).not.toContain('file-missing');
  });

  it('keeps its own paths right when it moves to another folder, and so do those that lead to it', async () => {
    const files = {
      'kestrel.connector-list.yaml': list,
      'jobs/a.repair-plan.yaml': plan('[../kestrel.connector-list.yaml]'),
      'jobs/photos/op10.jpg': '',
    };
    const { changed } = await move(files, ['jobs/a.repair-plan.yaml', 'done/2027/a.repair-plan.yaml']);
    const text = changed['jobs/a.repair-plan.yaml'];
    expect(lineOf(text, 'uses:')).toBe('uses: [../../kestrel.connector-list.yaml]');
    expect(lineOf(text, 'photo:')).toBe("- { for: op10, photo: '../../jobs/photos/op10.jpg' }");
  });

  it('needs no edit where folder and file move together; a folder carries what is in it', async () => {
    const files = {
      'shop/kestrel.connector-list.yaml': list,
      'shop/a.repair-plan.yaml': plan('[./kestrel.connector-list.yaml]'),
      'b.repair-plan.yaml': plan('[./shop/kestrel.connector-list.yaml]'),
    };
    const { changed } = await move(files, ['shop', 'our shop, new']);
    expect(Object.keys(changed)).toEqual(['b.repair-plan.yaml']);
    expect(lineOf(changed['b.repair-plan.yaml'], 'uses:')).toBe(
      "uses: ['./our shop, new/kestrel.connector-list.yaml']",
    );
  });

  it('a photograph takes its evidence with it; a file that nobody names changes nothing', async () => {
    const files = { 'a.repair-plan.yaml': plan('[]'), 'photos/op10.jpg': '', 'photos/other.jpg': '' };
    const { changed } = await move(files, ['photos/op10.jpg', 'photos/lamp after.jpg']);
    expect(lineOf(changed['a.repair-plan.yaml'], 'photo:')).toBe(
      "- { for: op10, photo: './photos/lamp after.jpg' }",
    );
    expect((await move(files, ['photos/other.jpg', 'photos/third.jpg'])).changed).toEqual({});
  });

  it('two moves at once, a plan into another place and its list into a third', async () => {
    const files = { 'k.connector-list.yaml': list, 'a.repair-plan.yaml': plan('[./k.connector-list.yaml]') };
    const { changed } = await move(
      files,
      ['k.connector-list.yaml', 'lists/k.connector-list.yaml'],
      ['a.repair-plan.yaml', 'jobs/a.repair-plan.yaml'],
    );
    expect(lineOf(changed['a.repair-plan.yaml'], 'uses:')).toBe('uses: [../lists/k.connector-list.yaml]');
  });
});
