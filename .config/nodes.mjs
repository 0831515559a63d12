// Other Nodes than the one that runs the tests, from the package registry into .cache/: see test.mjs.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, writeFileSync } from 'node:fs';
import path from 'node:path';

/** The newest long-term version; others by `PLUGWARD_NODES=22,24,26`, none by `PLUGWARD_NODES=none`. */
const usual = '26';
/** The newest that starts under wine 8. */
const underWine = '20';

export const wanted = (process.env.PLUGWARD_NODES ?? usual)
  .split(/[ ,]+/)
  .filter((version) => /^\d+(?:\.\d+)*$/.test(version));

/**
 * The program of a Node, fetched where it is not there yet.
 * @param npm npm as a script
 * @returns a reason where it cannot be had
 */
export function nodeOf(version, npm, platform = process.platform, arch = process.arch) {
  const name = `node-${platform === 'win32' ? 'win' : platform}-${arch}`;
  const folder = path.resolve('.cache/nodes', `${name}-${version}`);
  const program = path.join(folder, 'node_modules', name, 'bin', platform === 'win32' ? 'node.exe' : 'node');
  if (!existsSync(program)) {
    mkdirSync(folder, { recursive: true });
    // A folder of its own, so that nothing is added to this project.
    writeFileSync(path.join(folder, 'package.json'), '{ "private": true }\n');
    // A program for another system is taken by force alone; it has no scripts to run.
    const args = ['install', `${name}@${version}`, '--prefix', folder, '--force', '--ignore-scripts'];
    const quiet = ['--no-save', '--no-audit', '--no-fund', '--loglevel=error', '--fetch-retries=1'];
    const { status } = spawnSync(process.execPath, [npm, ...args, ...quiet], {
      stdio: 'ignore',
      timeout: 120_000,
    });
    if (status !== 0 || !existsSync(program)) return { reason: `the registry gave no ${name}@${version}` };
  }
  return { program };
}

/** A Node for Windows, where wine can start it. */
export function windowsNode(npm) {
  if (process.env.PLUGWARD_NODES === 'none') return { reason: 'PLUGWARD_NODES says none' };
  const there = (process.env.PATH ?? '')
    .split(path.delimiter)
    .some((folder) => existsSync(path.join(folder, 'wine')));
  return there ? nodeOf(underWine, npm, 'win32', 'x64') : { reason: 'there is no wine on the PATH' };
}
