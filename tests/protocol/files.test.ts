import { mkdirSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, it } from 'vitest';
import { lacks } from '../support/programs.ts';
import { ableClient, fileUri } from './client.ts';
import type { TestClient } from './client.ts';
import { faultyPlan, startClient, temporaryFolder } from './folder.ts';

const list =
  'connector-list: kestrel\nconnectors:\n  - { id: lamp, class: low-voltage, zone: quarter-left }\n';

/** The faulty plan with its connector in another file. */
function planUsing(file: string): string {
  return faultyPlan.replace(/connectors:\n.*\n/, `uses: [${file}]\n`);
}

async function codes(client: TestClient, uri: string, from = 0): Promise<unknown[]> {
  return (await client.next((params) => params.uri === uri, from)).map(({ code }) => code);
}

describe('files that a plan uses', () => {
  it('are read from disk, and reread when created, changed or deleted', async () => {
    const folder = temporaryFolder();
    const uri = fileUri(path.join(folder, 'lamp.repair-plan.yaml'));
    const used = path.join(folder, 'kestrel.connector-list.yaml');
    const client = await startClient(folder);
    await client.open(uri, planUsing('./kestrel.connector-list.yaml'));
    expect(await codes(client, uri)).toContain('file-missing');
    expect(client.registered).toContain('workspace/didChangeWatchedFiles');

    const happened = async (type: number) => {
      const from = client.published.length;
      await client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: fileUri(used), type }] });
      return codes(client, uri, from);
    };
    writeFileSync(used, list);
    const there = await happened(1);
    expect(there).toContain('bare-connector');
    expect(there).not.toContain('file-missing');
    writeFileSync(used, list.replace('id: lamp', 'id: other'));
    expect(await happened(2)).toContain('unknown-id');
    rmSync(used);
    expect(await happened(3)).toContain('file-missing');
  });

  it("have the editor's text while they are open there", async () => {
    const folder = temporaryFolder();
    const uri = fileUri(path.join(folder, 'lamp.repair-plan.yaml'));
    const used = path.join(folder, 'kestrel.connector-list.yaml');
    writeFileSync(used, list.replace('id: lamp', 'id: other'));
    const client = await startClient(folder);
    await client.open(uri, planUsing('./kestrel.connector-list.yaml'));
    expect(await codes(client, uri)).toContain('unknown-id');

    let from = client.published.length;
    await client.open(fileUri(used), list);
    expect(await codes(client, uri, from)).not.toContain('unknown-id');

    from = client.published.length;
    await client.close(fileUri(used));
    expect(await codes(client, uri, from)).toContain('unknown-id');
  });

  it('are reread on save if the client does not report changes on disk', async () => {
    const folder = temporaryFolder();
    const uri = fileUri(path.join(folder, 'lamp.repair-plan.yaml'));
    const client = await startClient(folder, { ...ableClient, workspace: {} });
    await client.open(uri, planUsing('./kestrel.connector-list.yaml'));
    expect(await codes(client, uri)).toContain('file-missing');
    writeFileSync(path.join(folder, 'kestrel.connector-list.yaml'), list);
    const from = client.published.length;
    await client.notify('textDocument/didSave', { textDocument: { uri } });
    expect(await codes(client, uri, from)).not.toContain('file-missing');
  });

  it.skipIf(lacks('links'))(
    'must be in the workspace, or beside the plan if there is none; no link and no .. leads out',
    async () => {
      const outer = temporaryFolder();
      const shop = path.join(outer, 'shop');
      mkdirSync(path.join(shop, 'plans'), { recursive: true });
      writeFileSync(path.join(outer, 'out.connector-list.yaml'), list);
      writeFileSync(path.join(shop, 'in.connector-list.yaml'), list);
      writeFileSync(path.join(shop, 'plans/beside.connector-list.yaml'), list);
      symlinkSync(path.join(outer, 'out.connector-list.yaml'), path.join(shop, 'link.connector-list.yaml'));
      symlinkSync(outer, path.join(shop, 'plans/way-out'));
      const uri = fileUri(path.join(shop, 'plans/lamp.repair-plan.yaml'));

      const missing = async (workspace: string | undefined, file: string) => {
        const client = await startClient(workspace);
        await client.open(uri, planUsing(file));
        return (await codes(client, uri)).includes('file-missing');
      };
      expect(await missing(shop, '../in.connector-list.yaml')).toBe(false);
      expect(await missing(shop, '../../out.connector-list.yaml')).toBe(true);
      expect(await missing(shop, '../link.connector-list.yaml')).toBe(true);
      expect(await missing(shop, 'way-out/out.connector-list.yaml')).toBe(true);
      expect(await missing(shop, fileUri(path.join(outer, 'out.connector-list.yaml')))).toBe(true);
      expect(await missing(undefined, './beside.connector-list.yaml')).toBe(false);
      expect(await missing(undefined, '../in.connector-list.yaml')).toBe(true);
    },
  );

  it('are requested from the client if they are not on this disk', async () => {
    const client = await startClient(undefined, ableClient, { readsFiles: true });
    const asked: string[] = [];
    client.connection.onRequest('plugward/readFile', ({ uri }: { uri: string }) => {
      asked.push(uri);
      return { text: list };
    });
    const uri = 'vscode-vfs://host/shop/lamp.repair-plan.yaml';
    await client.open(uri, planUsing('./kestrel.connector-list.yaml'));
    expect(await codes(client, uri)).not.toContain('file-missing');
    expect(asked).toEqual(['vscode-vfs://host/shop/kestrel.connector-list.yaml']);
  });
});

describe('photographs that a plan names', () => {
  const showing = (...photos: string[]): string =>
    `${faultyPlan}evidence:\n${photos.map((photo) => `  - { for: op20, photo: ${photo} }\n`).join('')}`;

  it.skipIf(lacks('links'))('are looked up in the workspace, and again when created or deleted', async () => {
    const outer = temporaryFolder();
    const folder = path.join(outer, 'shop');
    mkdirSync(path.join(folder, 'photos'), { recursive: true });
    const photo = path.join(folder, 'photos/a.jpg');
    writeFileSync(path.join(outer, 'out.jpg'), '');
    symlinkSync(path.join(outer, 'out.jpg'), path.join(folder, 'link.jpg'));
    const uri = fileUri(path.join(folder, 'lamp.repair-plan.yaml'));
    const client = await startClient(folder);
    const lost = async (from: number): Promise<string[]> =>
      (await client.next((params) => params.uri === uri, from)).flatMap(({ code, message }) =>
        code === 'photo-missing' ? [/"(.*)"/.exec(String(message))![1]!] : [],
      );
    await client.open(uri, showing('photos/a.jpg', './photos', './link.jpg', '../out.jpg'));
    expect(await lost(0)).toEqual(['photos/a.jpg', './photos', './link.jpg', '../out.jpg']);

    const happened = async (type: number): Promise<string[]> => {
      const from = client.published.length;
      await client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: fileUri(photo), type }] });
      return lost(from);
    };
    writeFileSync(photo, '');
    expect(await happened(1)).toEqual(['./photos', './link.jpg', '../out.jpg']);
    rmSync(photo);
    expect(await happened(3)).toHaveLength(4);
  });

  it('are looked up by the client elsewhere; if it does not know, nothing is reported', async () => {
    const client = await startClient(undefined, ableClient, { readsFiles: true });
    const there: Readonly<Record<string, boolean | null>> = { 'a.jpg': true, 'b.jpg': false, 'c.jpg': null };
    const asked: string[][] = [];
    client.connection.onRequest('plugward/areThere', ({ uris }: { uris: string[] }) => {
      asked.push(uris);
      return { there: uris.map((uri) => there[path.basename(uri)]) };
    });
    const uri = 'vscode-vfs://host/shop/lamp.repair-plan.yaml';
    await client.open(uri, showing('./a.jpg', './b.jpg', './c.jpg', '../d.jpg'));
    const found = (await client.next((params) => params.uri === uri)).filter(
      ({ code }) => code === 'photo-missing',
    );
    expect(found.map(({ message }) => /"(.*)"/.exec(String(message))![1])).toEqual(['./b.jpg', '../d.jpg']);
    expect(asked).toEqual([['a', 'b', 'c'].map((name) => `vscode-vfs://host/shop/${name}.jpg`)]);
  });
});
