import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { stat } from 'node:fs/promises';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type {
  Diagnostic,
  Location,
  SymbolInformation,
  TextEdit,
  WorkspaceEdit,
} from 'vscode-languageserver/node';
import { applyEdits } from '../../server/src/text/span.ts';
import { LineIndex } from '../../server/src/text/line-index.ts';
import { Rope } from '../../server/src/text/rope.ts';
import type { FileSource } from '../../server/src/lsp/host.ts';
import { nodeFiles } from '../../server/src/lsp/node-files.ts';
import { samples, samplesFolder } from '../support/files.ts';
import { fixtures } from '../laws/texts.ts';
import { runs } from '../laws/runs.ts';
import { fileUri } from './client.ts';
import { lampList, planUsing, temporaryFolder } from './folder.ts';
import { startInside } from './inside.ts';

type Inside = Awaited<ReturnType<typeof startInside>>;
type Files = Readonly<Record<string, string>>;

const isPlan = (name: string): boolean => name.endsWith('.repair-plan.yaml');

/** A server over a folder of these files. */
async function serving(files: Files, source?: FileSource) {
  const folder = temporaryFolder();
  for (const [name, text] of Object.entries(files)) writeFileSync(path.join(folder, name), text);
  const inside = await startInside({ pulls: true, folder, ...(source && { files: source }) });
  const uriOf = (name: string): string => fileUri(path.join(folder, name));
  const write = (name: string, text: string): void => writeFileSync(path.join(folder, name), text);
  const remove = (name: string): void => rmSync(path.join(folder, name));
  return { ...inside, uriOf, write, remove, folder };
}
type Serving = Awaited<ReturnType<typeof serving>>;

let version = 0;
const open = ({ client, uriOf, folder }: Serving, name: string, given?: string): Promise<void> => {
  const text = given ?? readFileSync(path.join(folder, name), 'utf8');
  const textDocument = { uri: uriOf(name), languageId: 'plugward', version: ++version, text };
  return client.sendNotification('textDocument/didOpen', { textDocument });
};
const close = ({ client, uriOf }: Serving, name: string): Promise<void> =>
  client.sendNotification('textDocument/didClose', { textDocument: { uri: uriOf(name) } });
const changedOnDisk = ({ client, uriOf }: Serving, ...names: string[]): Promise<void> =>
  client.sendNotification('workspace/didChangeWatchedFiles', {
    changes: names.map((name) => ({ uri: uriOf(name), type: 2 })),
  });

interface Report {
  readonly kind: string;
  readonly uri: string;
  readonly resultId: string;
  readonly items?: Diagnostic[];
}
const pull = async ({ client }: Inside, before: readonly Report[] = []): Promise<Report[]> => {
  const previousResultIds = before.map(({ uri, resultId }) => ({ uri, value: resultId }));
  const { items } = await client.sendRequest<{ items: Report[] }>('workspace/diagnostic', {
    previousResultIds,
  });
  return items;
};

const renamed = async (
  serving: Serving,
  name: string,
  position: { line: number; character: number },
  newName: string,
): Promise<Record<string, string>> => {
  const edit = await serving.client.sendRequest<WorkspaceEdit>('textDocument/rename', {
    textDocument: { uri: serving.uriOf(name) },
    position,
    newName,
  });
  return Object.fromEntries(
    (edit.documentChanges as { textDocument: { uri: string }; edits: TextEdit[] }[]).map((one) => {
      const file = path.basename(new URL(one.textDocument.uri).pathname);
      return [file, edited(readFileSync(new URL(one.textDocument.uri), 'utf8'), one.edits)];
    }),
  );
};

function edited(text: string, edits: readonly TextEdit[]): string {
  const lines = new LineIndex(Rope.of(text));
  const plain = edits.map(({ range, newText }) => ({
    uri: 'x',
    start: lines.offsetAt(range.start),
    end: lines.offsetAt(range.end),
    text: newText,
  }));
  return applyEdits(text, plain);
}

/** All that is asked of a folder, without the folder's own name. */
async function told(serving: Serving, files: Files, symbol: string): Promise<unknown> {
  const { client, uriOf } = serving;
  const reports = new Map(
    (await pull(serving)).map(({ uri, items }) => [path.basename(new URL(uri).pathname), items]),
  );
  const shared = Object.keys(files).find((name) => !isPlan(name) && files[name]!.includes(symbol));
  const position = shared === undefined ? undefined : placeOf(files[shared]!, symbol);
  const asked = shared === undefined ? undefined : { textDocument: { uri: uriOf(shared) }, position };
  const references =
    asked &&
    (await client.sendRequest<Location[]>('textDocument/references', {
      ...asked,
      context: { includeDeclaration: true },
    }));
  const symbols = await client.sendRequest<SymbolInformation[]>('workspace/symbol', { query: 'op' });
  const plans = await client.sendRequest<object>('plugward/plans', {});
  const rename = asked
    ? await renamed(serving, shared!, position!, 'zz-new').catch((error: unknown) => String(error))
    : undefined;
  const all = {
    reports: Object.fromEntries([...reports].sort(([a], [b]) => (a < b ? -1 : 1))),
    references: references?.map((location) => JSON.stringify(location)).sort(),
    symbols,
    plans,
    rename,
  };
  return JSON.parse(JSON.stringify(all).replaceAll(fileUri(serving.folder), 'file:///folder'));
}

function placeOf(text: string, symbol: string): { line: number; character: number } {
  return new LineIndex(Rope.of(text)).positionAt(text.indexOf(symbol));
}

describe('closed plans', () => {
  it('are told of as open ones are', { timeout: 240_000 }, async () => {
    const plan = fc.constantFrom(...fixtures.filter(({ name }) => isPlan(name)));
    const folder = fc.oneof(
      { weight: 1, arbitrary: fc.constant<Files>(samples()) },
      {
        weight: 5,
        arbitrary: fc
          .tuple(plan, plan, plan)
          .map(
            (plans): Files =>
              Object.assign(
                {},
                ...plans.map(({ files, text }, i) => ({ ...files, [`p${i}.repair-plan.yaml`]: text })),
              ) as Files,
          ),
      },
    );
    let renames = 0;
    await fc.assert(
      fc.asyncProperty(folder, fc.constantFrom('dummy-plug', 'inverter-dc', 'S1'), async (files, symbol) => {
        const [closed, opened] = [await serving(files), await serving(files)];
        const shared = Object.keys(files).filter((name) => !isPlan(name));
        for (const name of shared) await open(closed, name);
        for (const name of Object.keys(files)) await open(opened, name);
        const expected = await told(opened, files, symbol);
        if (typeof (expected as { rename?: unknown }).rename === 'object') renames++;
        expect(await told(closed, files, symbol)).toEqual(expected);
        // Also when each was open and is closed again.
        for (const name of Object.keys(files)) if (isPlan(name)) await close(opened, name);
        expect(await told(opened, files, symbol)).toEqual(expected);
      }),
      runs(8),
    );
    expect(renames).toBeGreaterThan(0);
  });

  const files = {
    'z.connector-list.yaml': lampList,
    'a.repair-plan.yaml': planUsing('./z.connector-list.yaml'),
    'b.repair-plan.yaml': planUsing('./z.connector-list.yaml'),
  };
  const list = 'z.connector-list.yaml';
  const lamp = placeOf(lampList, 'lamp');
  const later = (text: string): string => `# Written by another program.\n${text.replace('op10', 'op15')}`;

  it.each([true, false])(
    'that are opened, edited, closed and changed on disk are renamed as they lie there (told: %s)',
    async (isTold) => {
      const server = await serving(files);
      await open(server, list);
      await pull(server);
      await open(server, 'a.repair-plan.yaml', `# Not saved.\n${files['a.repair-plan.yaml']}`);
      // The editor's text counts while it is open.
      const asked = { textDocument: { uri: server.uriOf(list) }, position: lamp, newName: 'tail-lamp' };
      const edit = await server.client.sendRequest<WorkspaceEdit>('textDocument/rename', asked);
      expect(JSON.stringify(edit)).toContain('"line":5');
      await close(server, 'a.repair-plan.yaml');
      expect(await renamed(server, list, lamp, 'tail-lamp')).toEqual(
        Object.fromEntries(
          Object.entries(files).map(([name, text]) => [name, text.replace('lamp', 'tail-lamp')]),
        ),
      );
      server.write('a.repair-plan.yaml', later(files['a.repair-plan.yaml']));
      if (isTold) await changedOnDisk(server, 'a.repair-plan.yaml');
      const after = await renamed(server, list, lamp, 'tail-lamp');
      expect(after['a.repair-plan.yaml']).toBe(
        later(files['a.repair-plan.yaml']).replace('lamp', 'tail-lamp'),
      );
      expect(after['b.repair-plan.yaml']).toBe(files['b.repair-plan.yaml'].replace('lamp', 'tail-lamp'));
    },
  );

  it('that were deleted without a word are not renamed, and their findings go', async () => {
    const server = await serving(files);
    await open(server, list);
    const before = await pull(server);
    expect(before).toHaveLength(3);
    server.remove('a.repair-plan.yaml');
    expect(Object.keys(await renamed(server, list, lamp, 'tail-lamp')).sort()).toEqual([
      'b.repair-plan.yaml',
      list,
    ]);
    expect(await pull(server, before)).toContainEqual(
      expect.objectContaining({ uri: server.uriOf('a.repair-plan.yaml'), kind: 'full', items: [] }),
    );
  });

  /** Counts which plans are read; stamps also what was written to a moment ago. */
  function counting(read: string[]): FileSource {
    const stamp = (uri: string): Promise<string> =>
      stat(fileURLToPath(uri)).then(({ mtimeMs, size }) => `${mtimeMs} ${size}`);
    return {
      ...nodeFiles,
      stamp,
      async read(uri, roots) {
        if (isPlan(uri)) read.push(path.basename(uri));
        const stampBefore = await stamp(uri);
        const found = await nodeFiles.read(uri, roots);
        return found && { ...found, stamp: stampBefore };
      },
    };
  }

  it('are read again before a rename only if they were written to', async () => {
    const read: string[] = [];
    const server = await serving(files, counting(read));
    await open(server, list);
    await pull(server);
    expect(read.sort()).toEqual(['a.repair-plan.yaml', 'b.repair-plan.yaml']);
    expect(Object.keys(await renamed(server, list, lamp, 'tail-lamp'))).toHaveLength(3);
    expect(read).toHaveLength(2);
    server.write('a.repair-plan.yaml', later(files['a.repair-plan.yaml']));
    const after = await renamed(server, list, lamp, 'tail-lamp');
    expect(after['a.repair-plan.yaml']).toBe(later(files['a.repair-plan.yaml']).replace('lamp', 'tail-lamp'));
    expect(read).not.toHaveLength(2);
  });

  it('are looked at after each save for a client that does not watch files, and read only if they were written to', async () => {
    const read: string[] = [];
    const server = await serving(files, counting(read));
    const save = () =>
      server.client.sendNotification('textDocument/didSave', { textDocument: { uri: server.uriOf(list) } });
    await open(server, list);
    const before = await pull(server);
    expect(read).toHaveLength(2);
    await save();
    expect(Object.keys(await renamed(server, list, lamp, 'tail-lamp'))).toHaveLength(3);
    expect(read).toHaveLength(2);
    // Written by another program: another connector, and a plan more.
    server.write('a.repair-plan.yaml', files['a.repair-plan.yaml'].replace('lamp', 'lamps'));
    server.write('c.repair-plan.yaml', files['b.repair-plan.yaml']);
    server.remove('b.repair-plan.yaml');
    await save();
    const after = new Map((await pull(server, before)).map((report) => [path.basename(report.uri), report]));
    expect(after.get('a.repair-plan.yaml')?.items?.map(({ code }) => code)).toContain('unknown-id');
    expect(after.get('c.repair-plan.yaml')?.kind).toBe('full');
    expect(after.get('b.repair-plan.yaml')?.items).toEqual([]);
    expect(Object.keys(await renamed(server, list, lamp, 'tail-lamp')).sort()).toEqual([
      'c.repair-plan.yaml',
      list,
    ]);
  });

  it('are looked at again if the disk failed when they were looked at after a save', async () => {
    let fails = false;
    const server = await serving(files, {
      ...nodeFiles,
      read: (uri, roots) =>
        fails && isPlan(uri) ? Promise.reject(new Error('no connection')) : nodeFiles.read(uri, roots),
    });
    await open(server, list);
    await pull(server);
    fails = true;
    await server.client.sendNotification('textDocument/didSave', {
      textDocument: { uri: server.uriOf(list) },
    });
    const request = {
      textDocument: { uri: server.uriOf(list) },
      position: lamp,
      newName: 'tail-lamp',
    };
    expect(await server.client.sendRequest('textDocument/rename', request)).toBeNull();
    fails = false;
    server.write('a.repair-plan.yaml', later(files['a.repair-plan.yaml']));
    const after = await renamed(server, list, lamp, 'tail-lamp');
    expect(after['a.repair-plan.yaml']).toBe(later(files['a.repair-plan.yaml']).replace('lamp', 'tail-lamp'));
  });

  /** Asks for a rename, and edits an open file while the server waits for the disk. */
  async function renamedDuring(editedFile: string): Promise<unknown> {
    let isAsked = (): void => undefined;
    let answer = (): void => undefined;
    const asked = new Promise<void>((resolve) => (isAsked = resolve));
    const answered = new Promise<void>((resolve) => (answer = resolve));
    let isHeld = false;
    const stamp = async (): Promise<undefined> => {
      if (!isHeld) return undefined;
      isAsked();
      await answered;
      return undefined;
    };
    const server = await serving(files, { ...nodeFiles, stamp });
    for (const name of [list, 'a.repair-plan.yaml']) await open(server, name);
    await pull(server);
    isHeld = true;
    const edit = server.client.sendRequest<WorkspaceEdit>('textDocument/rename', {
      textDocument: { uri: server.uriOf(list) },
      position: lamp,
      newName: 'tail-lamp',
    });
    await asked;
    const nowhere = { line: 0, character: 0 };
    await server.client.sendNotification('textDocument/didChange', {
      textDocument: { uri: server.uriOf(editedFile), version: ++version },
      contentChanges: [{ range: { start: nowhere, end: nowhere }, text: '# A line more.\n' }],
    });
    // Once this is answered the change has arrived.
    await server.client.sendRequest('plugward/none', {}).catch(() => undefined);
    answer();
    const { documentChanges } = await edit;
    const changes = documentChanges as {
      textDocument: { uri: string; version: number };
      edits: TextEdit[];
    }[];
    const { textDocument, edits } = changes.find(({ textDocument: { uri } }) => uri.includes('/a.repair'))!;
    return { isLatest: textDocument.version === version, line: edits[0]!.range.start.line };
  }

  it('are renamed with an open plan as it stands once they were looked at', async () => {
    expect(await renamedDuring('a.repair-plan.yaml')).toEqual({ isLatest: true, line: 5 });
  });

  it('are not renamed if the file that was asked about has changed while they were looked at', async () => {
    await expect(renamedDuring(list)).rejects.toMatchObject({ code: -32801 });
  });

  it('of which nobody knows when they were written to are compared with what was read', async () => {
    expect(await nodeFiles.stamp('file:///none')).toBeUndefined();
    const server = await serving(files);
    // Just written: the disk might not count a second write.
    expect(await nodeFiles.stamp(server.uriOf(list))).toBeUndefined();
    const samplesFile = path.join(samplesFolder, 'kestrel.connector-list.yaml');
    expect(await nodeFiles.stamp(fileUri(samplesFile))).toMatch(/^\d+( \d+){4}$/);
  });

  it('have new findings when a file they use changes, and the old ones keep their result', async () => {
    const other = {
      ...files,
      'y.connector-list.yaml': lampList,
      'c.repair-plan.yaml': planUsing('./y.connector-list.yaml'),
    };
    const server = await serving(other);
    const before = await pull(server);
    expect(before.map(({ kind }) => kind)).toEqual(Array(5).fill('full'));
    await open(server, list, lampList.replace('id: lamp', 'id: tail-lamp'));
    const after = await pull(server, before);
    const codes = (name: string): unknown =>
      after
        .find(({ uri, kind }) => kind === 'full' && uri === server.uriOf(name))
        ?.items?.map(({ code }) => code);
    expect(codes('a.repair-plan.yaml')).toContain('unknown-id');
    expect(codes('b.repair-plan.yaml')).toContain('unknown-id');
    expect(codes('c.repair-plan.yaml')).toBeUndefined();
    // As it was on disk.
    await close(server, list);
    const restored = await pull(server, after);
    const items = (reports: readonly Report[]): unknown =>
      reports.find(({ uri }) => uri === server.uriOf('a.repair-plan.yaml'))?.items;
    expect(items(restored)).toEqual(items(before));
  });

  it('are read again for whoever asks about one of them', async () => {
    const server = await serving(files);
    await pull(server);
    const textDocument = { uri: server.uriOf('a.repair-plan.yaml') };
    const { html } = await server.client.sendRequest<{ html: string }>('plugward/preview', textDocument);
    expect(html).toContain('op10');
    const outline = await server.client.sendRequest<unknown[]>('textDocument/documentSymbol', {
      textDocument,
    });
    expect(outline).toHaveLength(4);
    const places = await server.client.sendRequest<Location[]>('textDocument/definition', {
      textDocument,
      position: placeOf(files['a.repair-plan.yaml'], 'lamp'),
    });
    expect(places.map(({ uri }) => uri)).toEqual([server.uriOf(list)]);
  });
});
