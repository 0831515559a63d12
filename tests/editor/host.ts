import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync } from 'node:fs';
import { cp, mkdir, readFile, rm, symlink, writeFile } from 'node:fs/promises';
import path from 'node:path';

const pinned = path.resolve('tests/editor/host');
const hostFolder = path.resolve('.cache/editor-host');
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
  run(hostFolder, 'npm', 'ci', ...quiet);
  const vscode = path.join(server, 'lib/vscode');
  // The lock file shipped in this folder lacks one package, so that `npm ci` refuses it.
  run(vscode, 'npm', 'install', '--omit=dev', ...quiet);
  run(path.join(vscode, 'extensions'), 'npm', 'ci', '--omit=dev', ...quiet);

  const search = path.join(vscode, 'node_modules/@vscode/ripgrep/bin');
  await mkdir(search, { recursive: true });
  await symlink(findProgram('rg'), path.join(search, 'rg'));

  // The password module is loaded even where no password is asked for. The other native modules are optional.
  const build = path.join(hostFolder, 'node_modules/.bin/node-pre-gyp');
  run(path.join(hostFolder, 'node_modules/argon2'), build, 'rebuild', '--build-from-source', '--silent');

  await writeFile(stamp, wanted);
  return entry;
}

/** The first of `names` that is on the PATH. */
export function findProgram(...names: string[]): string {
  const folders = (process.env.PATH ?? '').split(path.delimiter);
  const files = names.flatMap((name) => folders.map((folder) => path.join(folder, name)));
  const found = files.find((file) => existsSync(file));
  if (found) return found;
  throw new Error(`The editor tests need ${names.join(' or ')}; .ci/run shows how it is installed.`);
}

async function fingerprint(): Promise<string> {
  const hash = createHash('sha256').update(process.version);
  for (const file of ['host/package-lock.json', 'host.ts']) {
    hash.update(await readFile(path.resolve('tests/editor', file)));
  }
  return hash.digest('hex');
}

function run(cwd: string, program: string, ...args: string[]): void {
  execFileSync(program, args, { cwd, env: nodeHeaders(), stdio: ['ignore', 'ignore', 'inherit'] });
}

/** Node's own headers, where it came with them: the build then asks no server for them. */
function nodeHeaders(): NodeJS.ProcessEnv {
  const root = path.resolve(path.dirname(process.execPath), '..');
  const present = existsSync(path.join(root, 'include/node/node_api.h'));
  return present ? { ...process.env, npm_config_nodedir: root } : process.env;
}
