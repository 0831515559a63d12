// Packs what stage.mjs has laid out into dist/plugward.vsix, and again with a thorough deflate: the packager's own leaves 3 %.
import { chmod, mkdir, readdir, rm, stat } from 'node:fs/promises';
import path from 'node:path';
import { createVSIX } from '@vscode/vsce';
import SevenZip from '7z-wasm';

const dist = path.resolve(import.meta.dirname, '../dist');
const archive = path.join(dist, 'plugward.vsix');

/** Runs 7-Zip in a folder of dist; an error says what it printed. */
async function sevenZip(folder, ...command) {
  const said = [];
  const program = await SevenZip({ print: (line) => said.push(line), printErr: (line) => said.push(line) });
  program.FS.mkdir('/dist');
  program.FS.mount(program.NODEFS, { root: dist }, '/dist');
  program.FS.chdir(path.posix.join('/dist', folder));
  const code = program.callMain(command);
  if (code !== 0) throw new Error(`7-Zip ended with ${code}:\n${said.join('\n')}`);
}

await createVSIX({
  cwd: path.join(dist, 'package'),
  packagePath: archive,
  dependencies: false,
  allowMissingRepository: true,
  rewriteRelativeLinks: false,
});

const loose = path.join(dist, 'unpacked');
await rm(loose, { recursive: true, force: true });
await mkdir(loose);
await sevenZip('', 'x', 'plugward.vsix', '-ounpacked');
await rm(archive);
// Files by name: folders would get entries of their own.
const found = await readdir(loose, { recursive: true, withFileTypes: true });
const files = found
  .filter((one) => one.isFile())
  .map((one) => path.relative(loose, path.join(one.parentPath, one.name)).replaceAll(path.sep, '/'));
await sevenZip(
  'unpacked',
  'a',
  '-tzip',
  '-mx=9',
  '-mfb=258',
  '-mpass=15',
  '../plugward.vsix',
  ...files.sort(),
);
// 7-Zip heeds no umask here: it would leave the file open to everybody.
await chmod(archive, 0o644);
await rm(loose, { recursive: true });
console.log(`Packed again: ${(await stat(archive)).size} bytes.`);
