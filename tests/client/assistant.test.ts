import { Client } from '@modelcontextprotocol/sdk/client/index.js';
import { StdioClientTransport } from '@modelcontextprotocol/sdk/client/stdio.js';
import { afterAll, expect, test } from 'vitest';
import { assistantServers } from '../../client/src/assistant-servers.ts';
import { folderWith, removeFolders } from '../cli/run.ts';
import { samples } from '../support/files.ts';

afterAll(removeFolders);
/** The program that the extension's package holds. */
const script = 'dist/package/dist/plugward.js';
const folder = (name: string) => ({ name, path: folderWith(samples()) });

test.each([
  ['en', 'en'],
  ['es', 'es'],
  ['es-419', 'es'],
  ['es-mx', 'es-MX'],
  ['de', 'en'],
])('an editor in %s has its assistant answered in %s', (editor, spoken) => {
  const [server] = assistantServers([folder('a')], script, editor);
  expect(server!.args).toContain(spoken);
  expect(server!.label).toBe('Plugward');
});

test('each folder has a server of its own, named after it', () => {
  const [one, other] = [folder('one'), folder('other')];
  const servers = assistantServers([one, other], script, 'en');
  expect(servers.map(({ label, args }) => [label, args.at(-1)])).toEqual([
    ['Plugward: one', one.path],
    ['Plugward: other', other.path],
  ]);
});

// The protocol's own client starts it as the editor does.
test('it starts from the extension and checks a plan of the folder', async () => {
  const [{ command, args, env }] = assistantServers([folder('a')], script, 'en') as [
    ReturnType<typeof assistantServers>[number],
  ];
  const client = new Client({ name: 'test', version: '1' });
  await client.connect(new StdioClientTransport({ command, args, env, stderr: 'ignore' }));
  const { content } = await client.callTool({
    name: 'check',
    arguments: { paths: ['quarter-panel-faulty.repair-plan.yaml'] },
  });
  await client.close();
  expect(JSON.stringify(content)).toContain('half-covered');
});
