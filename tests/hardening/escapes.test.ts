import { execFileSync, spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Client } from '@modelcontextprotocol/sdk/client/index.js';
import { StdioClientTransport } from '@modelcontextprotocol/sdk/client/stdio.js';
import { afterAll, describe, expect, test } from 'vitest';
import { cli, folderWith, plugward, removeFolders } from '../cli/run.ts';
import { samples } from '../support/files.ts';
import { lacks, onPath } from '../support/programs.ts';
import { poisoned } from './poison.ts';

afterAll(removeFolders);

/** What steers a terminal: C0 and C1 controls but the line feed, and turns of the direction of reading (Unicode, chapter 23). */
const steering = /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069\u200e\u200f\u061c]/;
const poison = 'x\u001b[31m\u001b]0;y\u0007\u009b2J\u202e';
/** A file name with the same, as far as a name may hold it. */
const plan = lacks('any sign in a name') ? 'x.repair-plan.yaml' : `\u001b[31m\u202e.repair-plan.yaml`;

const withGit = onPath('git');
const faulty = 'quarter-panel-faulty.repair-plan.yaml';
const later = 'later.repair-plan.yaml';

/** The samples with the poison in every text, or in names, numbers and words too. */
function shop(names: boolean): string {
  const texts = Object.fromEntries(
    Object.entries(samples()).map(([name, text]) => [name, poisoned(name, text, poison, names).text]),
  );
  const tasks = `\ntasks:\n  - { id: ${names ? JSON.stringify(poison) : 'blast'}, raises: [dust], beside: [${JSON.stringify(poison)}] }\nzones:\n  - { id: ${names ? JSON.stringify(poison) : 'frunk'}, beside: [motor-bay] }\n`;
  const cwd = folderWith({
    ...texts,
    [plan]: texts[faulty]!,
    [later]: texts[faulty]!.replace(/^ {2}- \{ (?:"id"|id): .*op\d+.*\n/m, '').replace(
      /hours: 0\.\d/g,
      'hours: 0.7',
    ),
    'harbour-lane.rate-sheet.yaml': texts['harbour-lane.rate-sheet.yaml']! + tasks,
  });
  const git = (...args: string[]): unknown =>
    execFileSync('git', ['-c', 'user.name=t', '-c', 'user.email=t@example.invalid', ...args], {
      cwd,
      stdio: 'ignore',
    });
  if (withGit) {
    git('init', '-q');
    git('add', '.');
    git('commit', '-qm', 'first');
  }
  return cwd;
}

const commands: readonly (readonly string[])[] = [
  ...['human', 'lines', 'json', 'sarif', 'junit', 'code-quality', 'annotations'].flatMap((format) => [
    ['check', '.', '--format', format],
    ['check', plan, '--format', format, '--statistics'],
  ]),
  ...(withGit ? [['check', plan, '--since', 'HEAD']] : []),
  ['check', plan, '--language', 'es'],
  ['fix', '--dry-run', '--unsafe-fixes'],
  ...['human', 'json'].map((format) => ['compare', plan, later, '--format', format]),
  ...(withGit ? [['compare', '--since', 'HEAD', plan]] : []),
  ['heat', plan],
  ['heat', plan, '--format', 'json'],
  ['report', 'job-card', plan, '--format', 'json'],
  ...['csv', 'json'].map((format) => ['report', 'estimate', plan, '--format', format]),
  ['report', 'review', '.', '--format', 'json'],
  ...['job-card', 'estimate', 'review', 'reasons', 'owed'].map((sheet) => ['report', sheet, plan]),
  ...['reasons', 'owed'].map((sheet) => ['report', sheet, plan, '--format', 'json']),
  ['report', 'supplement', plan, later],
  ['report', 'supplement', plan, later, '--format', 'json'],
  ['tasks', 'harbour-lane.rate-sheet.yaml'],
  ['zones', 'harbour-lane.rate-sheet.yaml'],
  ['tasks', 'harbour-lane.rate-sheet.yaml', '--format', 'json'],
  ['zones', 'harbour-lane.rate-sheet.yaml', '--format', 'json'],
];

describe.skipIf(lacks('any sign in a name')).each([
  ['every text', shop(false)],
  ['every value', shop(true)],
])('nothing that steers a terminal, with it in %s', (_, cwd) => {
  test.each(commands.map((args) => [args.join(' ').replaceAll(/[^ -~]/g, '?'), args] as const))(
    '%s',
    (_, args) => {
      const { code, out, err } = plugward(cwd, args);
      expect([0, 1, 2]).toContain(code);
      expect(err).not.toContain('please report');
      for (const text of [out.replaceAll('\r\n', '\n'), err]) {
        const found = steering.exec(text);
        expect(
          found && JSON.stringify(text.slice(Math.max(0, found.index - 60), found.index + 20)),
        ).toBeNull();
      }
    },
  );

  test('a part of a run, and what is merged from it', () => {
    for (const [file, args] of [
      ['part.json', ['check', plan, '--format', 'json']],
      ['part.sarif', ['check', plan, '--format', 'sarif']],
      ['part.review', ['report', 'review', '.']],
    ] as const) {
      plugward(cwd, [...args, '--shard', '1/1', '-o', file]);
      const { code, out, err } = plugward(cwd, ['merge', file]);
      expect([code === 0 || code === 1, err]).toEqual([true, '']);
      for (const text of [readFileSync(join(cwd, file), 'utf8'), out]) expect(steering.exec(text)).toBeNull();
    }
    expect(plugward(cwd, ['merge', plan]).err).not.toMatch(steering);
  });

  test('all outputs of one run, and of the next one, from the cache', () => {
    const formats = ['lines', 'json', 'sarif', 'junit', 'code-quality', 'annotations'];
    const args = formats.flatMap((format) => ['--format', format, '-o', `all.${format}`]);
    for (const round of ['first', 'second']) {
      const { out, err } = plugward(cwd, ['check', '.', '--format', 'human', ...args, '--force']);
      const texts = [out, err, ...formats.map((format) => readFileSync(join(cwd, `all.${format}`), 'utf8'))];
      for (const text of texts) expect([round, steering.exec(text)]).toEqual([round, null]);
    }
  });

  test('the tool server', async () => {
    const client = new Client({ name: 'test', version: '1' });
    await client.connect(
      new StdioClientTransport({ command: process.execPath, args: [cli, 'mcp', cwd], stderr: 'ignore' }),
    );
    for (const [name, args] of [
      ['check', {}],
      ['check', { paths: [plan, poison] }],
      ['check', { text: readFileSync(join(cwd, plan), 'utf8'), file: plan }],
      ['tasks', { file: plan }],
      ['tasks', { file: poison }],
      ['compare', { old: plan, new: later }],
      ['explain', { finding: poison }],
      [poison, {}],
    ] as const) {
      const { content } = (await client.callTool({ name, arguments: args })) as {
        content: { text: string }[];
      };
      expect([name, steering.exec(content[0]!.text)]).toEqual([name, null]);
    }
    await client.close();
  });

  test('a watched check', async () => {
    const child = spawn(process.execPath, [cli, 'check', '.', '--watch'], { cwd });
    let said = '';
    await new Promise<void>((done) => {
      const look = (piece: unknown): void => {
        said += String(piece);
        if (said.includes('watching for changes')) done();
      };
      child.stdout.on('data', look);
      child.stderr.on('data', look);
    });
    child.kill('SIGKILL');
    expect(steering.exec(said)).toBeNull();
  });

  test('a baseline, written and read', () => {
    expect(plugward(cwd, ['check', plan, '--write-baseline', 'base.json', '--exit-zero']).code).toBe(0);
    expect(steering.exec(readFileSync(join(cwd, 'base.json'), 'utf8'))).toBeNull();
    expect(plugward(cwd, ['check', plan, '--only-new', 'base.json']).out).not.toMatch(steering);
  });
});
