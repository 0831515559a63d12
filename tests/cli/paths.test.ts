import path from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { lacks } from '../support/programs.ts';
import { fileUri } from '../protocol/client.ts';
import { lampList as list, planUsing as plan, startClient } from '../protocol/folder.ts';
import { folderWith, plugward, removeFolders } from './run.ts';

afterAll(removeFolders);

const end = '.connector-list.yaml';
const deep = Array.from({ length: 4 }, () => 'd'.repeat(100)).join('/');
const nowhere = `/nowhere/k${end}`;

interface Way {
  /** What stands on the disk. */
  readonly name: string;
  /** How the plan writes it; the folder is `{}`. */
  readonly uses: string;
  /** What is said of the path: nothing where it is read. */
  readonly says?: RegExp;
}
const read = (name: string, uses = `./${name}`): Way => ({ name, uses });
const refused = (uses: string, says: RegExp): Way => ({ name: `k${end}`, uses, says });
const missing = /missing or outside the workspace.*correct the path/;
const kind = /not a kind of file.*Its name must end in/;

const ways: readonly Way[] = [
  // Signs that end or escape parts of an address (RFC 3986, 2.1 and 3), and that a shell or YAML would read.
  read(`bay #2${end}`),
  read(`50%${end}`),
  read(`50%25${end}`),
  read(`%2e%2e${end}`),
  read(`a b/c  d${end}`),
  read(`Tür/Größe ñ${end}`),
  read(`名前${end}`),
  read(`it's & $HOME${end}`),
  // Names that are devices on Windows, and are files elsewhere.
  read(`con${end}`),
  read(`aux${end}`),
  read(`nul${end}`),
  // More than the 260 characters of the older calls of Windows.
  read(`${deep}/k${end}`),
  // Other ways to write a path that leads to the file.
  read(`x/k${end}`, `.\\x\\k${end}`),
  read(`k${end}`, `./x/../k${end}`),
  read(`k${end}`, `.//k${end}`),
  read(`k${end}`, `{}/k${end}`),
  read(`K.CONNECTOR-LIST.YAML`),
  // What is not there, or may not be read.
  refused(`./bay%20${end}`, missing),
  refused(`${deep}/${deep}/${deep}/k${end}`, missing),
  refused(`./${'x'.repeat(400)}${end}`, missing),
  refused(nowhere, missing),
  refused(`//server/share/k${end}`, missing),
  refused(`\\\\server\\share\\k${end}`, missing),
  refused(`\\\\?\\C:\\k${end}`, missing),
  refused(`C:\\shop\\k${end}`, missing),
  refused(`C:k${end}`, missing),
  refused(`~/k${end}`, missing),
  refused(`https://a.invalid/k${end}`, missing),
  refused('./nul', kind),
  refused('.', kind),
  refused(`./k${end} `, kind),
  refused('./k.yaml', kind),
];
// Windows has no `?` and no double quote in names.
const more: readonly Way[] = lacks('any sign in a name')
  ? []
  : [read(`what?${end}`), read(`"quoted"${end}`), read(`a:b*c<d>|${end}`)];

const told = [...ways, ...more].map((way) => [way.uses.replaceAll(/(.)\1{30,}/g, '$1…'), way] as const);
const placed = ({ name, uses }: Way): { cwd: string; text: string } => {
  const cwd = folderWith({ [name]: list });
  return { cwd, text: plan(uses.replace('{}', cwd)) };
};

describe('a path under uses: is read, or refused in words', () => {
  test.each(told)('%s (command line)', (_, way) => {
    const { cwd, text } = placed(way);
    const ran = plugward(cwd, ['check', '--stdin-filename', 'a.repair-plan.yaml', '-', '--format', 'json'], {
      input: text,
    });
    const { findings } = JSON.parse(ran.out) as { findings: { finding: string; message: string }[] };
    const files = findings.filter(({ finding }) => finding.startsWith('file-'));
    // What depends on a file that is not read is not guessed at.
    expect(findings.some(({ finding }) => finding === 'never-closed')).toBe(way.says === undefined);
    if (way.says) expect(files).toEqual([expect.objectContaining({ finding: 'file-missing' })]);
    else expect(files).toEqual([]);
    for (const { message } of files) expect(message).toMatch(way.says!);
    expect(ran.err).not.toContain('please report');
  });

  test('all of them by the server, as by the command line', async () => {
    for (const [shown, way] of told) {
      const { cwd, text } = placed(way);
      const client = await startClient(cwd);
      const uri = fileUri(path.join(cwd, 'a.repair-plan.yaml'));
      await client.open(uri, text);
      const codes = (await client.diagnostics(uri, 1)).map(({ code }) => code);
      expect([shown, codes.includes('file-missing'), codes.includes('never-closed')]).toEqual([
        shown,
        way.says !== undefined,
        way.says === undefined,
      ]);
      expect(await client.stop()).toBe(0);
    }
  });
});

test('a plan whose name is that of a device elsewhere, or whose ending is in capitals, is met in its folder', () => {
  const text = plan(`./k${end}`);
  const names = ['aux.repair-plan.yaml', 'B.REPAIR-PLAN.YAML', 'con.repair-plan.yml'];
  const cwd = folderWith({ [`k${end}`]: list, ...Object.fromEntries(names.map((name) => [name, text])) });
  const { out } = plugward(cwd, ['check', '--format', 'json']);
  const { findings } = JSON.parse(out) as { findings: { finding: string; file: string }[] };
  const closed = findings.filter(({ finding }) => finding === 'never-closed').map(({ file }) => file);
  expect(closed.sort()).toEqual(names.sort());
});

test('a pattern counts capitals on every system, and says so where it matches nothing', () => {
  const cwd = folderWith({ [`k${end}`]: list, 'Shop/a.repair-plan.yaml': plan(`../k${end}`) });
  expect(plugward(cwd, ['check', 'S*/*.repair-plan.yaml']).out).toContain('never-closed');
  for (const pattern of ['s*/*.repair-plan.yaml', 'S*/*.REPAIR-PLAN.yaml'])
    expect(plugward(cwd, ['check', pattern])).toMatchObject({
      code: 2,
      err: expect.stringContaining('matches this pattern, in which capitals count') as string,
    });
});
