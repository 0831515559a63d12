// npm runs this after an install and before it packs. A package that comes straight from its repository (a git address, a
// hook) has nothing built yet. `npm ci` leaves that to the command which follows.
import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import path from 'node:path';

const cwd = path.resolve(import.meta.dirname, '..');
const { npm_command: command, npm_execpath: npm } = process.env;
const runNpm = (...args) =>
  execFileSync(process.execPath, [npm, ...args], { cwd, stdio: ['ignore', 'ignore', 'inherit'] });

if (command !== 'ci' && npm !== undefined) {
  // A global install from a git address puts the tools of the build elsewhere (seen with npm 11).
  if (!existsSync(path.join(cwd, 'node_modules/esbuild'))) {
    runNpm('ci', '--global=false', '--include=dev', '--ignore-scripts', '--no-audit', '--no-fund');
  }
  runNpm('run', '--silent', 'build');
}
