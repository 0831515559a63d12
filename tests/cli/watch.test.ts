import { spawn } from 'node:child_process';
import type { ChildProcess } from 'node:child_process';
import { mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, afterEach, describe, expect, test } from 'vitest';
import { samples } from '../support/files.ts';
import { lacks, onPath } from '../support/programs.ts';
import { cli, folderWith, plugward, removeFolders } from './run.ts';

afterAll(removeFolders);

const running = new Set<ChildProcess>();
afterEach(() => {
  for (const child of running) child.kill('SIGKILL');
  running.clear();
});

const waiting = 'watching for changes';

/** A check that watches; `round` gives what it printed until it waits again. */
function watching(
  cwd: string,
  args: readonly string[],
  command: readonly string[] = [process.execPath, cli],
) {
  const [program, ...before] = command;
  const child = spawn(program!, [...before, ...args], { cwd, env: { ...process.env, COLUMNS: '80' } });
  running.add(child);
  let out = '';
  let err = '';
  let look = (): void => undefined;
  child.stdout.on('data', (data) => ((out += String(data)), look()));
  child.stderr.on('data', (data) => ((err += String(data)), look()));
  const exit = new Promise<number | null>((done) =>
    child.on('exit', (code) => (running.delete(child), done(code))),
  );
  const round = async (): Promise<{ out: string; err: string }> => {
    await new Promise<void>((done) => {
      look = () => (out + err).includes(waiting) && done();
      look();
    });
    const printed = { out, err };
    out = err = '';
    return printed;
  };
  return { round, exit, stop: () => child.kill('SIGINT') };
}

const plan = 'quarter-panel.repair-plan.yaml';
const sheet = 'harbour-lane.rate-sheet.yaml';
const today = ['--today', '2027-02-05'];

describe('a watched check', () => {
  test('follows a plan, a sheet that it uses, files that come and go, and ends with 130', async () => {
    const cwd = folderWith(samples());
    const { round, exit, stop } = watching(cwd, [
      'check',
      plan,
      '--watch',
      '-q',
      '--format',
      'lines',
      ...today,
    ]);
    const now = (): string => plugward(cwd, ['check', plan, '-q', '--format', 'lines', ...today]).out;
    expect((await round()).out).toBe('');

    const clean = readFileSync(join(cwd, plan), 'utf8');
    writeFileSync(join(cwd, plan), clean.replace('operations:', 'operatons:'));
    const typo = (await round()).out;
    expect(typo).toMatch(/: error key-unknown: /);
    expect(typo).toBe(now());

    writeFileSync(join(cwd, plan), clean);
    expect((await round()).out).toBe('');

    const text = readFileSync(join(cwd, sheet), 'utf8');
    rmSync(join(cwd, sheet));
    const gone = (await round()).out;
    expect(gone).toMatch(/: error file-missing: /);
    expect(gone).toBe(now());
    writeFileSync(join(cwd, sheet), text);
    expect((await round()).out).toBe('');

    stop();
    if (!lacks('signals')) expect(await exit).toBe(130);
  });

  test('finds new plans below a folder, and not its own prints', async () => {
    const cwd = folderWith({ ...samples(), 'plans/a.txt': '' });
    const args = ['check', 'plans', '-w', '--format', 'json', '-o', 'plans/a.json', ...today];
    const { round, exit, stop } = watching(cwd, args);
    await round();
    mkdirSync(join(cwd, 'plans/deep'));
    const files = (): number =>
      (JSON.parse(readFileSync(join(cwd, 'plans/a.json'), 'utf8')) as { summary: { files: number } }).summary
        .files;
    for (const [at, name] of ['one', 'deep/two'].entries()) {
      writeFileSync(join(cwd, `plans/${name}.repair-plan.yaml`), samples()[plan]!);
      await round();
      expect(files()).toBe(at + 1);
    }
    stop();
    if (!lacks('signals')) expect(await exit).toBe(130);
  });

  test.each([['-'], [plan, '--write-baseline', 'b.json']])('not with %s', (...args) => {
    const ran = plugward(folderWith(samples()), ['check', '--watch', ...args]);
    expect(ran).toMatchObject({ code: 2, err: expect.stringContaining('--watch goes neither') });
  });

  test.skipIf(!onPath('script'))('on a terminal each round has the screen for itself', async () => {
    const cwd = folderWith(samples());
    const line = `'${process.execPath}' '${cli}' check ${plan} --watch ${today.join(' ')}`;
    const { round } = watching(cwd, ['-qec', line, '/dev/null'], ['script']);
    expect((await round()).out).toMatch(/^\u001b\[2J\u001b\[3J\u001b\[H[^]*1 file checked/);
    writeFileSync(join(cwd, plan), 'plan: x\n');
    expect((await round()).out).toMatch(/\u001b\[2J\u001b\[3J\u001b\[H[^]*key-missing/);
  });
});
