// Watches the sources and keeps dist/ as they are: `npm run dev`, which F5 in VS Code starts by itself. What is made only for
// the package (pages, licences) is left to `npm run build`.
import { execFile } from 'node:child_process';
import { existsSync, statSync, watch } from 'node:fs';
import { chmod, mkdir, readdir } from 'node:fs/promises';
import path from 'node:path';
import { promisify } from 'node:util';
import { context } from 'esbuild';
import { bundles, core, dist, root } from './bundles.mjs';

const generators = [
  { script: 'schemas/generate.mjs', from: ['schemas/source', 'schemas/generate.mjs'], to: 'validators.js' },
  {
    script: '.config/catalogues.mjs',
    from: ['server/src/language', '.config/catalogues.mjs'],
    to: 'catalogues.ts',
  },
];

const changed = (file) => (existsSync(file) ? statSync(file).mtimeMs : 0);

/** Files of a folder, or the file itself. */
async function filesOf(place) {
  const whole = path.join(root, place);
  return statSync(whole).isDirectory()
    ? (await readdir(whole)).map((name) => path.join(whole, name))
    : [whole];
}

/** Runs the generators whose result is older than what it is made from. */
async function generate() {
  for (const { script, from, to } of generators) {
    const made = changed(path.join(root, 'server/src/generated', to));
    const sources = (await Promise.all(from.map(filesOf))).flat();
    if (sources.every((file) => changed(file) <= made)) continue;
    try {
      await promisify(execFile)(process.execPath, [path.join(root, script)], { cwd: root });
    } catch (error) {
      console.error(String(error.stderr ?? error));
    }
  }
}

/** Tells the editor's problem matcher (.vscode/tasks.json) when a build begins and ends. */
let running = 0;
const report = {
  name: 'report',
  setup({ onStart, onEnd }) {
    onStart(() => {
      if (running++ === 0) console.log('building');
    });
    onEnd(({ errors }) => {
      if (--running === 0) console.log(errors.length > 0 ? 'built, with errors' : 'built');
    });
  },
};

const from = performance.now();
await mkdir(dist, { recursive: true });
await generate();

/** Names and lines as in the sources, and nothing that only the package needs. */
const forDevelopment = (bundle) => ({
  ...bundle,
  minify: false,
  metafile: false,
  plugins: [report, ...bundle.plugins],
});
running++;
const first = await context(forDevelopment(core));
await first.rebuild();
const others = await Promise.all(bundles.map((bundle) => context(forDevelopment(bundle))));
await Promise.all(others.map((one) => one.rebuild()));
for (const name of ['cli.js', 'plugward.js']) await chmod(path.join(dist, name), 0o755);
running--;
console.log(`ready after ${((performance.now() - from) / 1000).toFixed(1)} s`);
if (process.argv.includes('--once')) {
  await Promise.all([first, ...others].map((one) => one.dispose()));
} else {
  await Promise.all([first, ...others].map((one) => one.watch()));
  let waiting;
  for (const folder of ['schemas/source', 'server/src/language']) {
    watch(path.join(root, folder), () => {
      clearTimeout(waiting);
      waiting = setTimeout(() => void generate(), 100);
    });
  }
}
