import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync } from 'node:fs';
import { copyFile, cp, mkdir, readFile, rm, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { npmScript } from '../support/programs.ts';

const pinned = path.resolve('tests/editor/host');
/** Where the workbench is installed. */
export const hostFolder = path.resolve('.cache/editor-host');
const quiet = ['--ignore-scripts', '--no-audit', '--no-fund', '--loglevel=error'];

/**
 * Puts the workbench that `host/package-lock.json` pins into `.cache/`, unless exactly this one is there. It goes
 * step by step because the package's own install script downloads prebuilt binaries.
 * @returns the script that starts it
 */
export async function installHost(): Promise<string> {
  const server = path.join(hostFolder, 'node_modules/code-server');
  const entry = path.join(server, 'out/node/entry.js');
  const stamp = path.join(hostFolder, 'installed');
  const wanted = await fingerprint();
  if (existsSync(stamp) && (await readFile(stamp, 'utf8')) === wanted) return entry;

  await rm(hostFolder, { recursive: true, force: true });
  await mkdir(hostFolder, { recursive: true });
  for (const file of ['package.json', 'package-lock.json']) {
    await cp(path.join(pinned, file), path.join(hostFolder, file));
  }
  npm(hostFolder, 'ci');
  const vscode = path.join(server, 'lib/vscode');
  // The lock file shipped in this folder lacks one package, so that `npm ci` refuses it.
  npm(vscode, 'install', '--omit=dev');
  npm(path.join(vscode, 'extensions'), 'ci', '--omit=dev');

  // Its own search program and its own password module would be downloaded or built; the packages that stand beside it
  // carry theirs. The other native modules are optional.
  const search = path.join(vscode, 'node_modules/@vscode/ripgrep/bin');
  await mkdir(search, { recursive: true });
  const carried = `node_modules/@vscode/ripgrep-${process.platform}-${process.arch}/bin/rg`;
  await copyFile(path.join(hostFolder, carried), path.join(search, 'rg'));

  await writeFile(stamp, wanted);
  return entry;
}

async function fingerprint(): Promise<string> {
  const hash = createHash('sha256').update(process.version);
  for (const file of ['host/package-lock.json', 'host.ts']) {
    hash.update(await readFile(path.resolve('tests/editor', file)));
  }
  return hash.digest('hex');
}

function npm(cwd: string, ...args: string[]): void {
  execFileSync(process.execPath, [npmScript(), ...args, ...quiet], {
    cwd,
    stdio: ['ignore', 'ignore', 'inherit'],
  });
}
