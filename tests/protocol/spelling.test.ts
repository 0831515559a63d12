import { mkdirSync, readFileSync, renameSync, symlinkSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import type { Diagnostic, TextEdit, WorkspaceEdit } from 'vscode-languageserver/node';
import { diskSpelling, uriOnDisk } from '../../server/src/disk/spelling.ts';
import { keyByDisk } from '../../server/src/lsp/documents.ts';
import { spelledLike } from '../../server/src/workspace/spelling.ts';
import { plugward } from '../cli/run.ts';
import { lacks } from '../support/programs.ts';
import { fileUri } from './client.ts';
import { lampList as list, planUsing as plan, temporaryFolder } from './folder.ts';
import { startInside } from './inside.ts';

afterEach(() => keyByDisk((uri) => uri));

describe('one file is one file', () => {
  const folderOf = (files: Readonly<Record<string, string>>): string => {
    const folder = temporaryFolder();
    for (const [name, text] of Object.entries(files)) {
      mkdirSync(path.dirname(path.join(folder, name)), { recursive: true });
      writeFileSync(path.join(folder, name), text);
    }
    return folder;
  };
  const renamed = async (folder: string, uri: string): Promise<Map<string, TextEdit[]>> => {
    const { client } = await startInside({ pulls: false, folder });
    const text = readFileSync(new URL(uri.replace(/LAMP/, 'Lamp')), 'utf8');
    await client.sendNotification('textDocument/didOpen', {
      textDocument: { uri, languageId: 'plugward', version: 1, text },
    });
    const edit = await client.sendRequest<WorkspaceEdit>('textDocument/rename', {
      textDocument: { uri },
      position: { line: 4, character: 46 },
      newName: 'tail-lamp',
    });
    const changes = edit.documentChanges as { textDocument: { uri: string }; edits: TextEdit[] }[];
    return new Map(changes.map((each) => [decodeURIComponent(each.textDocument.uri), each.edits]));
  };

  // The name on the disk, and how the plan writes it.
  it.each([
    ['Lists/Kestrel.connector-list.yaml', './lists/kestrel.connector-list.yaml'],
    ['t\u00FCr.connector-list.yaml', './tu\u0308r.connector-list.yaml'],
    ['bay #2, 50% of it?.connector-list.yaml', './Bay #2, 50% of it?.connector-list.yaml'],
  ])('%s, used as %s: it is read, its name is mended, and a rename reaches it once', async (name, uses) => {
    const folder = folderOf({ [name]: list, 'Lamp.repair-plan.yaml': plan(uses) });
    const { code, out } = plugward(folder, [
      'check',
      '--severity',
      'file-misspelled=error',
      '--format',
      'json',
    ]);
    const { findings } = JSON.parse(out) as { findings: { finding: string }[] };
    const found = findings.map(({ finding }) => finding);
    expect([code, found.filter((id) => id.startsWith('file-'))]).toEqual([1, ['file-misspelled']]);
    expect(found).not.toContain('unknown-id');
    const edits = await renamed(folder, fileUri(path.join(folder, 'Lamp.repair-plan.yaml')));
    expect([...edits.keys()].sort()).toEqual(
      [`file://${folder}/Lamp.repair-plan.yaml`, `file://${folder}/${name}`].sort(),
    );
    expect([...edits.values()].map((each) => each.length)).toEqual([1, 1]);
    plugward(folder, ['fix']);
    const mended = readFileSync(path.join(folder, 'Lamp.repair-plan.yaml'), 'utf8');
    expect(mended).toContain(`uses: ["./${name}"]`);
    expect(plugward(folder, ['check']).out).not.toContain('file-m');
  });

  it('a plan with a number sign in its name is renamed in like any other', async () => {
    const folder = folderOf({
      'bay #2.repair-plan.yaml': plan('./z.connector-list.yaml'),
      'z.connector-list.yaml': list,
    });
    const edits = await renamed(folder, fileUri(path.join(folder, 'bay #2.repair-plan.yaml')));
    expect([...edits.keys()].sort()).toEqual([
      `file://${folder}/bay #2.repair-plan.yaml`,
      `file://${folder}/z.connector-list.yaml`,
    ]);
  });

  it('a file that is renamed on the disk is found under its new name', async () => {
    const folder = folderOf({ 'Z.connector-list.yaml': list });
    const uri = fileUri(path.join(folder, 'Lamp.repair-plan.yaml'));
    writeFileSync(new URL(uri), plan('./z.connector-list.yaml'));
    const { client } = await startInside({ pulls: false, folder });
    const published: Diagnostic[][] = [];
    client.onNotification('textDocument/publishDiagnostics', (params: { diagnostics: Diagnostic[] }) => {
      published.push(params.diagnostics);
    });
    const until = async (wanted: (codes: unknown[]) => boolean): Promise<void> => {
      while (!published.some((each) => wanted(each.map(({ code }) => code))))
        await new Promise((resolve) => setTimeout(resolve, 20));
      published.length = 0;
    };
    await client.sendNotification('textDocument/didOpen', {
      textDocument: { uri, languageId: 'plugward', version: 1, text: plan('./z.connector-list.yaml') },
    });
    await until((codes) => codes.includes('file-misspelled') && !codes.includes('unknown-id'));
    renameSync(path.join(folder, 'Z.connector-list.yaml'), path.join(folder, 'z.connector-list.yaml'));
    const changes = ['Z', 'z'].map((name, i) => ({
      uri: fileUri(path.join(folder, `${name}.connector-list.yaml`)),
      type: i === 0 ? 3 : 1,
    }));
    await client.sendNotification('workspace/didChangeWatchedFiles', { changes });
    await until((codes) => !codes.some((code) => String(code).startsWith('file-')));
  });

  it('a client with another spelling than the disk is answered in its own', async () => {
    const folder = folderOf({
      'Lamp.repair-plan.yaml': plan('./z.connector-list.yaml'),
      'z.connector-list.yaml': list,
    });
    // A disk that ignores capitals.
    keyByDisk((uri) => uri.replace(/lamp(?=\.repair-plan)/i, 'Lamp'));
    const edits = await renamed(folder, `file://${folder}/LAMP.repair-plan.yaml`);
    expect([...edits.keys()].sort()).toEqual(
      [`file://${folder}/LAMP.repair-plan.yaml`, `file://${folder}/z.connector-list.yaml`].sort(),
    );
    expect(edits.get(`file://${folder}/LAMP.repair-plan.yaml`)).toHaveLength(1);
  });

  it.skipIf(lacks('names that differ in capitals'))('spelling of paths', async () => {
    const folder = folderOf({ 'Shop/A.yaml': '', 'Shop/two.yaml': '', 'Shop/TWO.yaml': '' });
    const at = (name: string): string => path.join(folder, name);
    expect(await diskSpelling(at('Shop/A.yaml'))).toBeUndefined();
    expect(await diskSpelling(at('shop/a.yaml'))).toBe(at('Shop/A.yaml'));
    expect(await diskSpelling(at('Shop/Two.yaml'))).toBeUndefined();
    expect(await diskSpelling(at('Shop/b.yaml'))).toBeUndefined();
    if (!lacks('links')) {
      // A link keeps its own name, though it leads to one that differs in capitals only.
      symlinkSync(at('Shop/A.yaml'), at('a.yaml'));
      expect(await diskSpelling(at('a.yaml'))).toBeUndefined();
    }
    expect(spelledLike('c:\\plans\\a.yaml', 'C:\\Plans\\A.yaml')).toBe('C:\\Plans\\A.yaml');
    expect(spelledLike('/link/A.yaml', '/true/a.yaml')).toBe('/link/a.yaml');
    expect(uriOnDisk('untitled:Untitled-1')).toBe('untitled:Untitled-1');
    expect(uriOnDisk(fileUri(at('gone.yaml')))).toBe(fileUri(at('gone.yaml')));
  });
});
