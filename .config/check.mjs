// Types, lint, format, layers and unused code, side by side. What a run has found about unchanged files is kept in
// dist/check; `--fresh` forgets it first, since a rule that looks at types does not notice a change in another file.
import { spawn } from 'node:child_process';
import { mkdirSync, rmSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import path from 'node:path';

const root = path.resolve(import.meta.dirname, '..');
const cache = path.join(root, 'dist/check');
if (process.argv.includes('--fresh')) rmSync(cache, { recursive: true, force: true });
mkdirSync(cache, { recursive: true });

const program = (name) => path.join(root, 'node_modules', name);
/** Longest first: they run as many at a time as there are processors. */
const checks = [
  [
    'lint',
    program('eslint/bin/eslint.js'),
    '-c',
    '.config/eslint.config.mjs',
    '.',
    '--max-warnings=0',
    '--cache',
    '--cache-strategy=content',
    `--cache-location=${cache}/eslint`,
  ],
  ['types', program('typescript/bin/tsc'), '-p', '.', '--incremental', `--tsBuildInfoFile`, `${cache}/types`],
  [
    'format',
    program('prettier/bin/prettier.cjs'),
    '--check',
    '.',
    '--log-level=warn',
    '--cache',
    '--cache-strategy=content',
    `--cache-location=${cache}/prettier`,
  ],
  [
    'layers',
    program('dependency-cruiser/bin/dependency-cruise.mjs'),
    '-c',
    '.config/layers.cjs',
    '--cache',
    `${cache}/layers`,
    '--cache-strategy',
    'content',
    '--output-type',
    'err',
    'client',
    'server',
  ],
  ['unused code', program('knip/bin/knip.js'), '-c', '.config/knip.json'],
];

let failed = 0;
async function next() {
  for (let check = checks.shift(); check; check = checks.shift()) {
    const [title, ...command] = check;
    const from = performance.now();
    const [code, output] = await run(command);
    const seconds = ((performance.now() - from) / 1000).toFixed(1);
    console.log(
      `${code === 0 ? '✓' : '✗'} ${title} (${seconds} s)${code === 0 ? '' : `\n${output.trimEnd()}`}`,
    );
    if (code !== 0) failed++;
  }
}

/** The exit code of a program of Node, and all it printed. */
function run(command) {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, command, { cwd: root, stdio: ['ignore', 'pipe', 'pipe'] });
    const output = [];
    for (const stream of [child.stdout, child.stderr]) stream.on('data', (data) => output.push(data));
    child.on('error', reject);
    child.on('close', (code) => resolve([code, Buffer.concat(output).toString()]));
  });
}

await Promise.all(Array.from({ length: Math.max(2, availableParallelism()) }, next));
process.exitCode = failed === 0 ? 0 : 1;
