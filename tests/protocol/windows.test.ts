import { existsSync, readFileSync, readdirSync, symlinkSync } from 'node:fs';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import type { TextEdit, WorkspaceEdit } from 'vscode-languageserver/node';
import { folderWith, plugward, removeFolders } from '../cli/run.ts';
import { samples } from '../support/files.ts';
import { lacks } from '../support/programs.ts';
import { keepWine, onDrive, windowsCommand, windowsEnv, withWindows } from '../support/windows.ts';
import { TestClient } from './client.ts';
import { lampList as list, planUsing as plan } from './folder.ts';

// The built programs in a Node for Windows, under wine: its paths, drives and names; the disk below remains this system's.
afterAll(removeFolders);
beforeAll(() => (withWindows ? keepWine() : undefined), 240_000);

const today = ['--today', '2027-02-05'];
const onWindows = (cwd: string, ...args: readonly string[]) =>
  plugward(cwd, args, { command: windowsCommand, env: windowsEnv });
interface Report {
  readonly findings: readonly { readonly finding: string; readonly file: string }[];
}
const found = (cwd: string, ...args: readonly string[]): Report['findings'] => {
  const { out, err } = onWindows(cwd, 'check', '--format', 'json', ...today, ...args);
  if (out === '') throw new Error(err);
  return (JSON.parse(out) as Report).findings;
};
const ids = (cwd: string, ...args: readonly string[]): string[] =>
  found(cwd, ...args).map(({ finding }) => finding);

describe.skipIf(!withWindows)('the command line', () => {
  it('finds in the samples what it finds here', () => {
    const cwd = folderWith(samples());
    const here = plugward(cwd, ['check', '.', '--format', 'json', ...today]);
    const there = onWindows(cwd, 'check', '.', '--format', 'json', ...today);
    expect([there.code, there.err]).toEqual([here.code, here.err]);
    expect(JSON.parse(there.out)).toEqual(JSON.parse(here.out));
  });

  it.each([
    ['a relative path', () => 'Shop\\a.repair-plan.yaml'],
    ['a path of a drive', (cwd: string) => onDrive(path.join(cwd, 'Shop/a.repair-plan.yaml'))],
    [
      'a drive in small letters',
      (cwd: string) => onDrive(path.join(cwd, 'Shop/a.repair-plan.yaml')).replace('Z', 'z'),
    ],
    ['slashes', (cwd: string) => `Z:${cwd}/Shop/a.repair-plan.yaml`],
    ['other capitals', () => 'SHOP\\A.repair-plan.yaml'],
    [
      'the long form of a path',
      (cwd: string) => `\\\\?\\${onDrive(path.join(cwd, 'Shop/a.repair-plan.yaml'))}`,
    ],
  ])('reads %s', (_, way) => {
    const cwd = folderWith({
      'Shop/a.repair-plan.yaml': plan('./lists/x.connector-list.yaml'),
      'Shop/lists/x.connector-list.yaml': list,
    });
    const said = ids(cwd, way(cwd));
    expect(said).toContain('never-closed');
    expect(said).not.toContain('file-missing');
  });

  it.each([
    ['bay #2, 50% of it.connector-list.yaml', './bay #2, 50% of it.connector-list.yaml', []],
    ['tür.connector-list.yaml', './tür.connector-list.yaml', []],
    ['Kestrel.connector-list.yaml', './kestrel.connector-list.yaml', ['file-misspelled']],
    ['x/k.connector-list.yaml', '.\\x\\k.connector-list.yaml', []],
    ['k.connector-list.yaml', 'Z:\\nowhere\\k.connector-list.yaml', ['file-missing']],
    ['k.connector-list.yaml', '\\\\server\\share\\k.connector-list.yaml', ['file-missing']],
    ['k.connector-list.yaml', '//server/share/k.connector-list.yaml', ['file-missing']],
    ['k.connector-list.yaml', './con.connector-list.yaml', ['file-missing']],
    ['k.connector-list.yaml', './k.connector-list.yaml:stream', ['file-missing']],
  ])('with %s on the disk, uses %s: %j', (name, uses, said) => {
    const cwd = folderWith({ [name]: list, 'a.repair-plan.yaml': plan(uses) });
    expect(ids(cwd).filter((id) => id.startsWith('file-'))).toEqual(said);
  });

  // wine shows a link as a folder: so do mounted folders, and some network drives.
  it.skipIf(lacks('links'))('enters a folder that leads in a circle once', () => {
    const cwd = folderWith({
      'real/a.repair-plan.yaml': plan('./k.connector-list.yaml'),
      'real/k.connector-list.yaml': list,
    });
    symlinkSync('..', path.join(cwd, 'real/loop'));
    expect(new Set(found(cwd).map(({ file }) => file))).toEqual(new Set(['real/a.repair-plan.yaml']));
  });

  it('mends a text with CRLF and keeps its line ends', () => {
    const text = plan('./k.connector-list.yaml').replace('operations', 'operatons').replaceAll('\n', '\r\n');
    const cwd = folderWith({ 'a.repair-plan.yaml': text, 'k.connector-list.yaml': list });
    expect(onWindows(cwd, 'fix')).toMatchObject({ err: '' });
    expect(readFileSync(path.join(cwd, 'a.repair-plan.yaml'), 'utf8')).toBe(
      text.replace('operatons', 'operations'),
    );
    expect(readdirSync(cwd).sort()).toEqual(['a.repair-plan.yaml', 'k.connector-list.yaml']);
  });

  it('writes a print beside its plan, none to NUL, and none to another device', () => {
    const cwd = folderWith({
      'a.repair-plan.yaml': plan('./k.connector-list.yaml'),
      'k.connector-list.yaml': list,
    });
    const card = (to: string) => onWindows(cwd, 'report', 'job-card', 'a.repair-plan.yaml', '-o', to);
    expect(card('card.html')).toMatchObject({ code: 0, err: '' });
    expect(readFileSync(path.join(cwd, 'card.html'), 'utf8')).toContain('<h1>Job card</h1>');
    expect(card('card.html')).toMatchObject({ code: 0 });
    expect(card('NUL')).toMatchObject({ code: 0, err: '' });
    expect(card('con.html')).toMatchObject({
      code: 2,
      err: expect.stringContaining('the name of a device') as string,
    });
    expect(existsSync(path.join(cwd, 'NUL'))).toBe(false);
  });
});

describe.skipIf(!withWindows)('the server', () => {
  it.each([
    ['as an editor writes it', (file: string) => `file:///z%3A${file}`],
    ['with a bare colon', (file: string) => `file:///z:${file}`],
    ['with a large drive', (file: string) => `file:///Z:${file}`],
    ['with other capitals', (file: string) => `file:///Z:${file.replace('lamp.', 'LAMP.')}`],
    ['with escapes that are not needed', (file: string) => `file:///z%3A${file.replace('lamp', 'l%61mp')}`],
  ])('an address %s: findings and a rename come back under it', async (_, spell) => {
    const folder = folderWith({
      'lamp.repair-plan.yaml': plan('./k.connector-list.yaml'),
      'k.connector-list.yaml': list,
    });
    const client = new TestClient({ ...process.env, ...windowsEnv }, windowsCommand);
    onTestFinished(() => client.kill());
    await client.initialize(folder, undefined, undefined, null, 'en', (place) => `file:///z%3A${place}`);
    const uri = spell(`${folder}/lamp.repair-plan.yaml`);
    await client.open(uri, plan('./k.connector-list.yaml'));
    expect((await client.diagnostics(uri, 1)).map(({ code }) => code)).toContain('never-closed');
    const edit: WorkspaceEdit = await client.connection.sendRequest('textDocument/rename', {
      textDocument: { uri },
      position: { line: 4, character: 46 },
      newName: 'tail-lamp',
    });
    const changes = edit.documentChanges as { textDocument: { uri: string }; edits: TextEdit[] }[];
    expect(changes.map(({ edits }) => edits.length)).toEqual([1, 1]);
    expect(changes.map(({ textDocument }) => textDocument.uri)).toContain(uri);
    expect(client.errors).toEqual([]);
  });
});
