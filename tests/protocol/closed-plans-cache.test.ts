import { mkdirSync, readdirSync, rmSync, statSync, truncateSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, it, onTestFinished, vi } from 'vitest';
import type { Diagnostic } from 'vscode-languageserver/node';
import { programDigest } from '../../server/src/disk/entries.ts';
import { nodeCache } from '../../server/src/lsp/node-cache.ts';
import { LineIndex } from '../../server/src/text/line-index.ts';
import { Rope } from '../../server/src/text/rope.ts';
import { Workspace } from '../../server/src/workspace/workspace.ts';
import { samples } from '../support/files.ts';
import { fileUri } from './client.ts';
import { temporaryFolder } from './folder.ts';
import { startInside } from './inside.ts';

/** What a server finds in closed plans, kept for the next start: it tells the same as one that checks all anew. */

const photo = 'lamp.jpg';
const evidence = `plan: HL-1
vehicle: { description: Kestrel estate (invented), propulsion: hybrid }
uses: [./kestrel.connector-list.yaml]
operations:
  - { id: op10, do: photograph, zone: doors }
evidence:
  - { for: op10, photo: ./${photo} }
`;

interface Place {
  readonly folder: string;
  readonly kept: string;
}

function place(): Place {
  const folder = temporaryFolder();
  for (const [name, text] of Object.entries(samples())) writeFileSync(path.join(folder, name), text);
  writeFileSync(path.join(folder, 'evidence.repair-plan.yaml'), evidence);
  writeFileSync(path.join(folder, photo), '');
  return { folder, kept: temporaryFolder() };
}

interface Start {
  readonly today?: string;
  readonly options?: object;
  readonly program?: string;
  /** A client that names no folder. */
  readonly without?: true;
}

/** All that one start tells of a folder, and how many plans it checked. */
async function start({ folder, kept }: Place, { today, options, program, without }: Start = {}) {
  const condensed = vi.spyOn(Workspace.prototype, 'condense');
  onTestFinished(() => condensed.mockRestore());
  const expectGarbage = vi.fn();
  const { client } = await startInside({
    pulls: true,
    folder,
    expectGarbage,
    ...(today === undefined ? {} : { today }),
    cacheIn: (wanted, looked) =>
      nodeCache(wanted, looked, () => programDigest([Buffer.from(program ?? 'this one')])),
    options: { ...options, ...(without ? {} : { cacheFolder: fileUri(kept) }) },
  });
  const { items } = await client.sendRequest<{ items: { uri: string; items: Diagnostic[] }[] }>(
    'workspace/diagnostic',
    { previousResultIds: [] },
  );
  const checked = condensed.mock.calls.length;
  condensed.mockRestore();
  // The space for new objects grows where texts are parsed.
  await vi.waitFor(() => expect(expectGarbage.mock.lastCall).toEqual(['none']));
  expect(expectGarbage.mock.calls.flat().includes('parsed')).toBe(checked > 0);
  const told = {
    findings: Object.fromEntries(items.map((one) => [one.uri, one.items])),
    plans: await client.sendRequest('plugward/plans', {}),
    symbols: await client.sendRequest('workspace/symbol', { query: 'op' }),
    rename: await client
      .sendRequest('textDocument/rename', {
        textDocument: { uri: fileUri(path.join(folder, 'kestrel.connector-list.yaml')) },
        position: new LineIndex(Rope.of(samples()['kestrel.connector-list.yaml']!)).positionAt(
          samples()['kestrel.connector-list.yaml']!.indexOf('id: inverter-dc') + 4,
        ),
        newName: 'zz-new',
      })
      .catch((error: unknown) => String(error)),
  };
  return { told, checked };
}

const files = (folder: string): string[] =>
  readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .map((name) => path.join(folder, name))
    .filter((file) => statSync(file).isFile());

describe('a second start', () => {
  it('tells the same and checks no plan', async () => {
    const where = place();
    const plain = await start(where, { without: true });
    expect(plain.checked).toBeGreaterThan(3);
    expect(files(where.kept)).toEqual([]);
    expect(await start(where)).toEqual(plain);
    expect(files(where.kept).length).toBeGreaterThanOrEqual(plain.checked);
    expect(await start(where)).toEqual({ told: plain.told, checked: 0 });
  });

  it.each<[string, (place: Place) => void, Start, 'some' | 'all']>([
    [
      'a plan has changed',
      ({ folder }) => writeFileSync(path.join(folder, 'evidence.repair-plan.yaml'), `${evidence}# \n`),
      {},
      'some',
    ],
    [
      'a list has changed',
      ({ folder }) =>
        writeFileSync(
          path.join(folder, 'kestrel.connector-list.yaml'),
          samples()['kestrel.connector-list.yaml']!.replace('zone: quarter-left', 'zone: doors'),
        ),
      {},
      'some',
    ],
    [
      'a file that is used has gone',
      ({ folder }) => rmSync(path.join(folder, 'kestrel.connector-list.yaml')),
      {},
      'some',
    ],
    ['a photograph has gone', ({ folder }) => rmSync(path.join(folder, photo)), {}, 'some'],
    ['it is another day', () => undefined, { today: '2031-01-01' }, 'all'],
    [
      'the settings have changed',
      () => undefined,
      { options: { severities: { 'labour-missing': 'error' } } },
      'all',
    ],
    ['another language is asked for', () => undefined, { options: { locale: 'es' } }, 'all'],
    ['it is another program', () => undefined, { program: 'another' }, 'all'],
    [
      'the entries are torn',
      ({ kept }) => files(kept).forEach((file) => truncateSync(file, statSync(file).size >> 1)),
      {},
      'all',
    ],
  ])('checks anew what may differ when %s', async (_, change, how, which) => {
    const where = place();
    const first = await start(where);
    change(where);
    const plain = await start(where, { ...how, without: true });
    const second = await start(where, how);
    expect(second.told).toEqual(plain.told);
    expect(second.checked).toBeGreaterThan(0);
    if (which === 'all') expect(second.checked).toBe(first.checked);
  });

  it('keeps nothing where the settings say so, or in a folder that is looked at', async () => {
    const where = place();
    await start(where, { options: { cache: false } });
    expect(files(where.kept)).toEqual([]);
    const inside = path.join(where.folder, 'inside');
    mkdirSync(inside);
    await start({ ...where, kept: inside });
    expect(files(inside)).toEqual([]);
  });
});
