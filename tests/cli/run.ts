import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, realpathSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { beforeAll } from 'vitest';
import { isTriedOnWindows } from '../support/programs.ts';
import { keepWine, windowsCommand, windowsEnv } from '../support/windows.ts';

export const cli = fileURLToPath(new URL('../../dist/cli.js', import.meta.url));
if (!existsSync(cli)) throw new Error('dist/cli.js is missing: npm run build');

if (isTriedOnWindows) beforeAll(keepWine, 240_000);

export interface Ran {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

/** Runs the built command line in `cwd`. */
export function plugward(
  cwd: string,
  args: readonly string[],
  options: {
    readonly input?: string | Uint8Array;
    readonly env?: NodeJS.ProcessEnv;
    /** The Node that runs it; this one unless stated, or one for Windows. */
    readonly command?: readonly string[];
  } = {},
): Ran {
  const ofWindows = isTriedOnWindows && !options.command;
  const env: NodeJS.ProcessEnv = {
    ...process.env,
    COLUMNS: '80',
    ...(ofWindows ? windowsEnv : {}),
    ...options.env,
  };
  // What the tests themselves run in says nothing about colour here.
  if (!options.env?.['FORCE_COLOR']) delete env['FORCE_COLOR'];
  const [program, ...before] = options.command ?? (ofWindows ? windowsCommand : [process.execPath]);
  const { status, stdout, stderr } = spawnSync(program!, [...before, cli, ...args], {
    cwd,
    env,
    input: options.input ?? '',
    // The default of one megabyte kills a run that lists more, without a word.
    maxBuffer: 64 * 1024 * 1024,
  });
  return { code: status, out: stdout.toString(), err: stderr.toString() };
}

const made: string[] = [];

/** A fresh folder with these files; texts are written as they are. */
export function folderWith(files: Readonly<Record<string, string | Uint8Array>>): string {
  const root = realpathSync(mkdtempSync(join(tmpdir(), 'plugward-')));
  made.push(root);
  for (const [name, content] of Object.entries(files)) {
    mkdirSync(dirname(join(root, name)), { recursive: true });
    writeFileSync(join(root, name), content);
  }
  return root;
}

export function removeFolders(): void {
  for (const root of made.splice(0)) rmSync(root, { recursive: true, force: true });
}
