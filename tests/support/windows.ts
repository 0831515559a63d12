import { spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdirSync } from 'node:fs';
import path from 'node:path';
import { isTriedOnWindows, onPath } from './programs.ts';

const root = path.resolve(import.meta.dirname, '../..');
const node = process.env['PLUGWARD_WINDOWS_NODE'] ?? '';

/**
 * Whether a Node for Windows can be started here, under wine. `npm test` fetches one; where there is none, tests are skipped
 * aloud.
 */
export const withWindows = existsSync(node) && onPath('wine');
if (!withWindows && process.platform !== 'win32')
  console.warn('TESTS ARE SKIPPED: no Node for Windows, or no wine to start it.');

if (isTriedOnWindows && !withWindows)
  throw new Error('PLUGWARD_CLI_ON=windows needs PLUGWARD_WINDOWS_NODE and wine');

/** Starts a script in that Node. */
export const windowsCommand: readonly string[] = [
  'wine',
  node,
  '--require',
  path.join(import.meta.dirname, 'windows-streams.cjs'),
];

const prefix = path.join(root, '.cache/wine');
if (withWindows) mkdirSync(prefix, { recursive: true });

export const windowsEnv: NodeJS.ProcessEnv = {
  WINEPREFIX: prefix,
  WINEDEBUG: '-all',
  // wine 8 says that it is an older Windows than Node asks for.
  NODE_SKIP_PLATFORM_CHECK: '1',
};

/**
 * Keeps one program of wine running until it is ended: the first one starts services that hold on to its output, so that
 * each run alone would last until these have ended, some three seconds later.
 * @returns ends it
 */
export function keepWine(): () => void {
  const env = { ...process.env, ...windowsEnv };
  // The first start makes the drive of the imaginary machine.
  spawnSync('wine', ['wineboot', '-i'], { env, stdio: 'ignore' });
  const kept = spawn('wine', [node, '-e', 'setInterval(() => {}, 1e6)'], { env, stdio: 'ignore' });
  return () => kept.kill();
}

/** A path of this system as Windows' programs see it: the whole disk is their drive Z. */
export const onDrive = (file: string): string => `Z:${file.replaceAll('/', '\\')}`;
