import { mkdirSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { expect, it } from 'vitest';
import { fileUri } from './client.ts';
import { temporaryFolder } from './folder.ts';
import { startInside } from './inside.ts';

const plan = `plan: 1
vehicle: { description: Kestrel (invented), propulsion: hybrid }
operations:
  - { id: op10, do: no-such-task }
`;

it('the folders of the editor leave out what the command line leaves out', async () => {
  const folder = temporaryFolder();
  mkdirSync(path.join(folder, '.git'));
  const names = ['a', 'old/a', 'archive/a', 'deep/a', 'deep/old/a', 'opened/a'];
  for (const name of names) {
    mkdirSync(path.dirname(path.join(folder, name)), { recursive: true });
    writeFileSync(path.join(folder, `${name}.repair-plan.yaml`), plan);
  }
  writeFileSync(path.join(folder, '.gitignore'), 'old/\nopened/\n');
  const sheet = path.join(folder, 's.rate-sheet.yaml');
  writeFileSync(sheet, 'rate-sheet: s\ncurrency: EUR\nplugward: { exclude: [archive/] }\n');
  const { client } = await startInside({ pulls: true, folder });
  const uriOf = (name: string): string => fileUri(path.join(folder, `${name}.repair-plan.yaml`));
  const opened = uriOf('opened/a');
  await client.sendNotification('textDocument/didOpen', {
    textDocument: { uri: opened, languageId: 'plugward', version: 1, text: plan },
  });
  const told = async (): Promise<string[]> => {
    const { items }: { items: { uri: string; items?: unknown[] }[] } = await client.sendRequest(
      'workspace/diagnostic',
      { previousResultIds: [] },
    );
    return items.filter((one) => one.items?.length).map(({ uri }) => decodeURIComponent(uri));
  };
  const named = (...list: string[]): string[] => list.map((name) => decodeURIComponent(uriOf(name))).sort();
  // One that is open is checked, whatever leaves it out.
  expect((await told()).sort()).toEqual(named('a', 'deep/a', 'opened/a'));
  // A sheet that changes on disk changes what is left out.
  writeFileSync(sheet, 'rate-sheet: s\ncurrency: EUR\nplugward: { exclude: [deep/] }\n');
  await client.sendNotification('workspace/didChangeWatchedFiles', {
    changes: [{ uri: fileUri(sheet), type: 2 }],
  });
  expect((await told()).sort()).toEqual(named('a', 'archive/a', 'opened/a'));
});
