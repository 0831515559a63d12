import { spawnSync } from 'node:child_process';
import { expect, test } from 'vitest';
import { root } from '../support/files.ts';
import { onPath } from '../support/programs.ts';

const git = (...args: readonly string[]) => spawnSync('git', args, { cwd: root, encoding: 'utf8' });
const inRepository = onPath('git') && git('rev-parse', '--git-dir').status === 0;

// Fixtures and generated files are compared byte for byte: a checkout on Windows must not write other line ends
// (gitattributes(5), `eol`; git-ls-files(1), `--eol`).
test.skipIf(!inRepository)('every text is checked out with line feeds, whatever core.autocrlf says', () => {
  const files = git('-c', 'core.autocrlf=true', 'ls-files', '--eol').stdout.trimEnd().split('\n');
  expect(files.length).toBeGreaterThan(500);
  const kept = /^i\/(?:lf|none) +w\/\S* +attr\/text=auto eol=lf +\t|^i\/\S+ +w\/\S* +attr\/-text/;
  expect(files.filter((line) => !kept.test(line))).toEqual([]);
});
