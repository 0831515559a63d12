import { symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Client } from '@modelcontextprotocol/sdk/client/index.js';
import { StdioClientTransport } from '@modelcontextprotocol/sdk/client/stdio.js';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { findingIds } from '../../server/src/findings/registry.ts';
import { samples } from '../support/files.ts';
import { lacks } from '../support/programs.ts';
import { cli, folderWith, plugward, removeFolders } from './run.ts';

// The protocol's own client, over the standard input and output of a real process.
const plan = 'quarter-panel-faulty.repair-plan.yaml';
const outer = folderWith({
  'secret.repair-plan.yaml': samples()[plan]!,
  '.gitignore': '*\n',
  ...Object.fromEntries(Object.entries(samples()).map(([name, text]) => [`shop/${name}`, text])),
});
const cwd = join(outer, 'shop');
if (!lacks('links')) {
  symlinkSync('../secret.repair-plan.yaml', join(cwd, 'link.repair-plan.yaml'));
  symlinkSync('..', join(cwd, 'up'));
}
const client = new Client({ name: 'test', version: '1' });
beforeAll(() =>
  client.connect(
    new StdioClientTransport({
      command: process.execPath,
      args: [cli, 'mcp', cwd],
      cwd: '/',
      stderr: 'ignore',
    }),
  ),
);
afterAll(async () => {
  await client.close();
  removeFolders();
});

async function call(
  name: string,
  args: Record<string, unknown> = {},
): Promise<{ isError: boolean; text: string }> {
  const { content, isError } = (await client.callTool({ name, arguments: args })) as {
    content: { text: string }[];
    isError?: boolean;
  };
  return { isError: isError ?? false, text: content[0]!.text };
}
const answer = async (name: string, args: Record<string, unknown> = {}) => {
  const { isError, text } = await call(name, args);
  expect([isError, isError ? text : '']).toEqual([false, '']);
  return JSON.parse(text) as { caution: string } & Record<string, never>;
};
const today = '2027-02-10';
interface Report {
  readonly findings: readonly { readonly finding: string; readonly file: string }[];
  readonly unread: readonly { readonly file: string }[];
  readonly summary: { readonly files: number };
}

test('four tools, all of which only read; the cautions come before them', async () => {
  const { tools } = await client.listTools();
  expect(tools.map(({ name }) => name)).toEqual(['check', 'explain', 'tasks', 'compare']);
  for (const { annotations } of tools)
    expect(annotations).toMatchObject({ readOnlyHint: true, openWorldHint: false });
  expect(client.getInstructions()).toMatch(/not a vehicle[^]*releases a vehicle for work/);
});

test('every answer carries the cautions', async () => {
  for (const [name, args] of [
    ['check', { paths: [plan], today }],
    ['explain', {}],
    ['tasks', {}],
    ['compare', { old: plan, new: 'quarter-panel.repair-plan.yaml', today }],
  ] as const) {
    expect((await answer(name, args)).caution).toMatch(
      /High voltage can kill[^]*releases a vehicle for work/,
    );
  }
});

describe('check', () => {
  const check = async (args: Record<string, unknown>) =>
    (await answer('check', { today, ...args })) as unknown as Report;

  test('finds in a file what the command line finds', async () => {
    const there = JSON.parse(
      plugward(cwd, ['check', plan, '--format', 'json', '--today', today]).out,
    ) as Report;
    expect(there.findings.length).toBeGreaterThan(5);
    expect(await check({ paths: [plan] })).toMatchObject(there as object);
  });

  test('finds in a text that is not saved what it finds in the file', async () => {
    const { findings } = await check({ paths: [plan] });
    expect(
      (await check({ text: samples()[plan]!, file: 'new.repair-plan.yaml' })).findings.map(
        (one) => one.finding,
      ),
    ).toEqual(findings.map((one) => one.finding));
  });

  test.skipIf(lacks('links'))(
    'of the whole folder, without the files outside that a link or a .gitignore above it leads to',
    async () => {
      const { summary, unread } = await check({});
      expect(summary.files).toBe(Object.keys(samples()).length);
      expect(unread.map(({ file }) => file)).toEqual(['link.repair-plan.yaml']);
    },
  );

  test('of a plan that uses a file outside reads nothing of it', async () => {
    writeFileSync(join(cwd, 'out.repair-plan.yaml'), samples()[plan]!.replace('- ./harbour', '- ../harbour'));
    writeFileSync(join(outer, 'harbour-lane.rate-sheet.yaml'), samples()['harbour-lane.rate-sheet.yaml']!);
    const { findings } = await check({ paths: ['out.repair-plan.yaml'] });
    expect(findings.map(({ finding }) => finding)).toContain('file-missing');
  });
});

test('explain', async () => {
  const all = (await answer('explain')) as unknown as { findings: { id: string }[] };
  expect(all.findings.map(({ id }) => id)).toEqual(findingIds);
  expect(await answer('explain', { finding: 'bare-connector' })).toMatchObject({
    findings: [{ id: 'bare-connector', whatToDo: expect.any(String) as string }],
  });
});

test('tasks, with those of a sheet', async () => {
  const names = async (args: object) =>
    ((await answer('tasks', { ...args })) as unknown as { tasks: { id: string }[] }).tasks.map(
      ({ id }) => id,
    );
  expect(await names({})).toContain('disconnect');
  expect((await names({ file: 'harbour-lane.rate-sheet.yaml' })).length).toBeGreaterThanOrEqual(
    (await names({})).length,
  );
});

test('compare', async () => {
  const found = (await answer('compare', {
    old: plan,
    new: 'quarter-panel.repair-plan.yaml',
    today,
  })) as unknown as {
    comparisons: { findings: { gone: object[] } }[];
  };
  expect(found.comparisons[0]!.findings.gone.length).toBeGreaterThan(0);
});

test.skipIf(lacks('links')).each(['link.repair-plan.yaml', 'up/secret.repair-plan.yaml', 'up'])(
  'check of %s, by a link, is refused in words',
  async (path) => {
    const { isError, text } = await call('check', { paths: [path] });
    expect([isError, text]).toEqual([true, expect.stringMatching(/outside of the folder/)]);
  },
);

test.each<[string, Record<string, unknown>, RegExp]>([
  ['check', { paths: ['../secret.repair-plan.yaml'] }, /outside of the folder/],
  ['check', { paths: ['/etc'] }, /outside of the folder/],
  ['check', { text: 'plan: x', file: '../x.repair-plan.yaml' }, /outside of the folder/],
  ['check', { text: 'plan: x' }, /needs the name/],
  ['check', { paths: 'plan' }, /a list of texts/],
  ['check', { paths: [plan], today: 'soon' }, /needs a date/],
  ['tasks', { file: '../harbour-lane.rate-sheet.yaml' }, /outside of the folder/],
  ['tasks', { file: '.' }, /not a regular file/],
  ['compare', { old: '../secret.repair-plan.yaml', new: plan }, /outside of the folder/],
  ['compare', { old: 'gone.repair-plan.yaml', new: plan }, /no such file/],
  ['explain', { finding: 'bare-conector' }, /Did you mean bare-connector/],
  ['fix', {}, /no tool 'fix'/],
])('%s %j is refused in words', async (name, args, words) => {
  const { isError, text } = await call(name, args);
  expect([isError, text]).toEqual([true, expect.stringMatching(words)]);
});

test.each([
  ['gone', 'plugward: gone was not read: there is no such file.\n'],
  [plan, `plugward: ${plan} was not read: it is not a folder.\n`],
])('a server of %s is not started', (folder, err) => {
  expect(plugward(cwd, ['mcp', folder])).toEqual({ code: 2, out: '', err });
});
