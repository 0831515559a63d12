import { readFileSync } from 'node:fs';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { expect, it } from 'vitest';
import { samplesFolder } from '../support/files.ts';
import { startClient } from './folder.ts';

const uriOf = (name: string): string => pathToFileURL(path.join(samplesFolder, name)).href;
const textOf = (uri: string): string => readFileSync(new URL(uri), 'utf8');
const [first, second] = ['1-before-opening', '2-opened'].map((name) =>
  uriOf(`story/${name}.repair-plan.yaml`),
) as [string, string];

type Answer = { wants?: string[]; refused?: string } | null;

async function start() {
  const client = await startClient(samplesFolder);
  const text = textOf(second);
  await client.open(second, text);
  const send = <R>(method: string, params: object): Promise<R> =>
    client.connection.sendRequest<R>(`plugward/${method}`, params);
  const compareWith = (old: object | null): Promise<Answer> => send('compareWith', { uri: second, old });
  /** Numbers stay with their units on the page; here they are compared with plain spaces. */
  const preview = async (): Promise<string> =>
    (await send<{ html: string }>('preview', { uri: second })).html.replaceAll(/[\u00A0\u202F]/g, ' ');
  /** As a client does: texts are handed in until no more are wanted. */
  const compareWithFirst = async (): Promise<readonly string[]> => {
    const texts: Record<string, string | null> = { [first]: textOf(first) };
    const wanted: string[] = [];
    for (;;) {
      const answer = await compareWith({ name: 'the first version', uri: first, texts });
      if (!answer?.wants) {
        expect(answer).toEqual({});
        return wanted;
      }
      wanted.push(...answer.wants);
      for (const uri of answer.wants) texts[uri] = textOf(uri);
    }
  };
  return { client, text, send, compareWith, preview, compareWithFirst };
}

it('tells what changed in the preview, with the steps marked and every line leading to its place', async () => {
  const { text, preview, compareWith, compareWithFirst } = await start();
  expect((await preview()).includes('class="since"')).toBe(false);
  const wanted = await compareWithFirst();
  expect(wanted.map((uri) => path.basename(uri)).sort()).toEqual([
    'harbour-lane.rate-sheet.yaml',
    'kestrel.connector-list.yaml',
  ]);
  const html = await preview();
  expect(html.includes('Changed since the first version')).toBe(true);
  const part = /<section class="since">[^]*?<ol|<section class="since">[^]*$/.exec(html)![0];
  const row =
    /<tr data-from="(\d+)" data-spans="(\d+)-(\d+)">\s*<td class="key nowrap">new<\/td>\s*<td>op50 Disconnect/.exec(
      part,
    )!;
  expect(text.slice(Number(row[1]))).toMatch(/^\{ id: op50, do: disconnect/);
  expect(text.slice(Number(row[2]), Number(row[3]))).toMatch(/^\{ id: op50.*\}$/);
  const marked = [...html.matchAll(/<tr[^>]* class="changed"[^]*?<span class="step">([^]*?)<br/g)].map(
    ([, id]) => id!.replaceAll(/<[^>]*>/g, ''),
  );
  expect(marked).toEqual(expect.arrayContaining(['op12/isolate', 'op50', 'op60', 'op180']));
  expect(marked).not.toContain('op40');
  // Until it is ended.
  expect(await compareWith(null)).toEqual({});
  expect((await preview()).includes('class="since"')).toBe(false);
});

it('follows every edit, and says so while the text cannot be compared', async () => {
  const { client, text, preview, compareWithFirst } = await start();
  await compareWithFirst();
  const at = text.indexOf('1.4 h');
  const line = text.slice(0, at).split('\n').length - 1;
  const character = at - text.lastIndexOf('\n', at) - 1;
  const range = { start: { line, character }, end: { line, character: character + 3 } };
  await client.change(second, 2, { range, text: '2.5' });
  expect((await preview()).includes('time was 0.8 h, now 2.5 h')).toBe(true);
  const top = text.split('\n').indexOf('operations:');
  const whole = { start: { line: top, character: 0 }, end: { line: top, character: 'operations:'.length } };
  await client.change(second, 3, { range: whole, text: 'operations: [' });
  expect((await preview()).includes('so it cannot be compared')).toBe(true);
});

it('forms the supplement from that version, and none without it; reasons and what is owed need none', async () => {
  const { send, compareWithFirst } = await start();
  const print = (kind: string): Promise<{ html: string; name: string } | null> =>
    send('print', { uri: second, kind });
  expect(await print('supplement')).toBeNull();
  await compareWithFirst();
  const supplement = (await print('supplement'))!;
  expect(supplement.name).toBe('2-opened.supplement.html');
  expect(supplement.html.includes('+326.40')).toBe(true);
  // The photographs of the changed lines are in it.
  expect(supplement.html.includes('data:image/jpeg')).toBe(true);
  expect((await print('reasons'))!.html.includes('which showed only with the trim off')).toBe(true);
  expect((await print('owed'))!.html.includes('None: every step')).toBe(true);
});

it('refuses what is no plan or is damaged, with the reason', async () => {
  const { compareWith, preview } = await start();
  const uri = 'file:///elsewhere/a.repair-plan.yaml';
  expect(await compareWith({ name: 'x', uri, texts: { [uri]: null } })).toEqual({
    refused: 'it is no repair plan',
  });
  expect(await compareWith({ name: 'x', uri, texts: { [uri]: 'plan: 1\noperations: [' } })).toEqual({
    refused: 'its text is damaged; `plugward check` says where',
  });
  expect((await preview()).includes('class="since"')).toBe(false);
});
