// Runs every test stage even if an earlier one failed; the last line is a summary.
import { spawnSync } from 'node:child_process';
import { mkdirSync, readFileSync, rmSync } from 'node:fs';

const results = 'dist/test';
rmSync(results, { recursive: true, force: true });
mkdirSync(results, { recursive: true });

let passed = 0;
let failed = 0;

function run(title, command, ...args) {
  console.log(`\n── ${title}`);
  return spawnSync(command, args, { stdio: ['ignore', 'inherit', 'inherit'] }).status === 0;
}

/** A stage without tests of its own counts only when it fails. */
function stage(title, ...command) {
  if (!run(title, ...command)) failed++;
}

function tests(title, config) {
  const report = `${results}/${title.replaceAll(' ', '-')}.json`;
  const output = ['--reporter=default', '--reporter=json', `--outputFile.json=${report}`];
  const fine = run(title, 'npx', 'vitest', 'run', '-c', config, ...output);
  let counted = 0;
  try {
    const { numPassedTests, numFailedTests, testResults } = JSON.parse(readFileSync(report, 'utf8'));
    passed += numPassedTests;
    counted = numFailedTests;
    // A file that cannot even be loaded fails without failing a test.
    for (const { status, assertionResults } of testResults) {
      if (status === 'failed' && !assertionResults.some((one) => one.status === 'failed')) counted++;
    }
  } catch {
    console.error(`${title} left no report`);
  }
  failed += fine ? counted : Math.max(counted, 1);
}

stage('build', 'npm', 'run', 'build');
stage('check', 'npm', 'run', 'check', '--', '--fresh');
tests('core and protocol', '.config/vitest.config.mts');
stage('package', 'npm', 'run', 'package');
tests('editor', '.config/vitest.editor.config.mts');

console.log(`\n${passed} passed, ${failed} failed`);
process.exitCode = failed === 0 ? 0 : 1;
