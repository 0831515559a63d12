import { existsSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';

/**
 * Whether a program that is no part of this project can be started. Tests that need one are skipped without it, which is
 * said aloud; the last line of `npm test` counts them.
 */
export function onPath(program: string): boolean {
  const ends = process.platform === 'win32' ? ['.exe', '.cmd'] : [''];
  const found = (process.env['PATH'] ?? '')
    .split(path.delimiter)
    .some((folder) => ends.some((end) => existsSync(path.join(folder, program + end))));
  if (!found) console.warn(`TESTS ARE SKIPPED: there is no ${program} on the PATH.`);
  return found;
}

/** npm as a script for this Node: where npm says that it lies, else beside this Node. `npm` is no program on Windows. */
export function npmScript(): string {
  const given = process.env['npm_execpath'];
  if (given?.endsWith('npm-cli.js')) return given;
  const near = process.platform === 'win32' ? './node_modules' : '../lib/node_modules';
  return createRequire(process.execPath).resolve(`${near}/npm/bin/npm-cli.js`);
}
