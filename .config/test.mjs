// Runs every test stage even if an earlier one failed; the last line is a summary.
import { spawnSync } from 'node:child_process';
import { mkdirSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { nodeOf, wanted, windowsNode } from './nodes.mjs';

const results = 'dist/test';
rmSync(results, { recursive: true, force: true });
mkdirSync(results, { recursive: true });

let passed = 0;
let failed = 0;
let skipped = 0;
/** Skipped tests, by file: none goes unsaid. */
const left = new Map();

/** Runs a script of npm's or of a package by this Node: `npm` and `npx` are no programs of their own on Windows. */
function run(title, script, args, node = process.execPath, env = {}) {
  console.log(`\n── ${title}`);
  const { status } = spawnSync(node, [script, ...args], {
    stdio: ['ignore', 'inherit', 'inherit'],
    env: { ...process.env, ...env },
  });
  return status === 0;
}

// Where npm says that it lies, else beside this Node.
const npm =
  process.env.npm_execpath ??
  createRequire(process.execPath).resolve('../lib/node_modules/npm/bin/npm-cli.js');

/** A stage without tests of its own counts only when it fails. */
function stage(title, ...script) {
  if (!run(title, npm, ['run', ...script])) failed++;
}

/** @param files the beginnings of the names of test files; all of them unless stated */
function tests(title, config, files = [], node = process.execPath, env = {}, options = []) {
  const report = `${results}/${title.replaceAll(' ', '-')}.json`;
  const output = ['--reporter=default', '--reporter=json', `--outputFile.json=${report}`];
  const args = ['run', '-c', config, ...output, ...options, ...files];
  const fine = run(title, 'node_modules/vitest/vitest.mjs', args, node, env);
  let counted = 0;
  try {
    const { numPassedTests, numFailedTests, numPendingTests, testResults } = JSON.parse(
      readFileSync(report, 'utf8'),
    );
    passed += numPassedTests;
    skipped += numPendingTests;
    counted = numFailedTests;
    // A file that cannot even be loaded fails without failing a test.
    for (const { name, status, assertionResults } of testResults) {
      const pending = assertionResults.filter((each) => ['pending', 'skipped'].includes(each.status)).length;
      if (pending > 0) left.set(path.relative('.', name), pending);
      if (status === 'failed' && !assertionResults.some((each) => each.status === 'failed')) counted++;
    }
  } catch {
    console.error(`${title} left no report`);
  }
  failed += fine ? counted : Math.max(counted, 1);
}

/** Counts as one test that is skipped. */
function skip(title, reason) {
  console.warn(`\nTESTS ARE SKIPPED: ${title}: ${reason}.`);
  left.set(title, 1);
  skipped++;
}

// The tests find it by this name: see tests/support/windows.ts.
const windows = process.platform === 'win32' ? {} : windowsNode(npm);
if (windows.program) process.env.PLUGWARD_WINDOWS_NODE = windows.program;
else if (windows.reason) console.warn(`Nothing is run with Node for Windows: ${windows.reason}.`);

stage('build', 'build');
stage('check', 'check', '--', '--fresh');
tests('core and protocol', '.config/vitest.config.mts');
/** What differs between Nodes: flags, streams, files, threads, cached code; and one law over the whole core. */
const onEachNode = [
  'cli/check',
  'cli/fix',
  'cli/watch',
  'cli/mcp',
  'protocol/session',
  'protocol/spelling',
  'laws/clean',
];
for (const version of wanted) {
  const { program, reason } = nodeOf(version, npm);
  const title = `Node ${version}`;
  if (program)
    tests(
      title,
      '.config/vitest.config.mts',
      onEachNode.map((each) => `tests/${each}.test.ts`),
      program,
    );
  else skip(title, reason);
}
/** Of the command line, what reads, writes, prints and waits; all of it takes some six minutes. */
const onWindows = ['console', 'exclusion', 'fix', 'formats', 'mcp', 'paths', 'report', 'tables', 'watch'];
if (windows.program)
  tests(
    'the command line in Node for Windows',
    '.config/vitest.config.mts',
    onWindows.map((each) => `tests/cli/${each}.test.ts`),
    process.execPath,
    { PLUGWARD_CLI_ON: 'windows' },
    // Once in some two thousand starts under wine nothing came of what a program prints; why is not known.
    ['--retry=1'],
  );
else if (process.platform !== 'win32') skip('the command line in Node for Windows', windows.reason);
stage('package', 'package');
tests('editor', '.config/vitest.editor.config.mts');

if (left.size > 0) {
  console.log('\nSKIPPED, for the reasons given above:');
  for (const [file, count] of left) console.log(`  ${file}: ${count}`);
}
console.log(`\n${passed} passed, ${failed} failed, ${skipped} skipped`);
process.exitCode = failed === 0 ? 0 : 1;
