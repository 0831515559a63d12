// The settings of StrykerJS for `npm run mutate`. Only the places of the mutants that are tried are instrumented: with all
// of them, each test would take several times as long.
import { Instrumenter } from '@stryker-mutator/instrumenter';
import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { isChosen, texts } from './mutant-sample.mjs';

const folders = (process.env.PLUGWARD_MUTANTS_IN ?? 'plan,sequence,findings,heat,costing').split(',');
const files = folders
  .map((folder) => path.resolve('server/src', folder))
  .flatMap((folder) => readdirSync(folder, { recursive: true }).map((file) => path.join(folder, file)))
  .filter((file) => file.endsWith('.ts'))
  .map((name) => ({ name, content: readFileSync(name, 'utf8'), mutate: true }));
const silent = { debug() {}, info() {}, warn() {}, isDebugEnabled: () => false };
const { mutants } = await new Instrumenter(silent).instrument(files, {
  ignorers: [texts],
  excludedMutations: [],
  plugins: null,
});

/** A file with the range of a mutant, in the notation of StrykerJS. */
function place({ fileName, location: { start, end } }) {
  const file = path.relative(process.cwd(), fileName).replaceAll('\\', '/');
  return `${file}:${start.line + 1}:${start.column}-${end.line + 1}:${end.column}`;
}

const tried = mutants.filter((mutant) => mutant.status !== 'Ignored' && isChosen(mutant));
console.log(
  `${tried.length} of ${mutants.filter(({ status }) => status !== 'Ignored').length} mutants are tried.`,
);

export default {
  testRunner: 'own-first',
  vitest: { configFile: '.config/vitest.mutate.config.mts', related: false },
  plugins: ['@stryker-mutator/vitest-runner', './.config/mutant-sample.mjs'],
  checkers: ['sample'],
  ignorers: ['texts'],
  mutate: [...new Set(tried.map(place))],
  ignorePatterns: ['dist', '.cache', '*.vsix', 'client', 'tests/{editor,protocol,bench}'],
  coverageAnalysis: 'perTest',
  // What runs while a module loads needs all tests.
  ignoreStatic: process.env.PLUGWARD_MUTANTS_STATIC !== '1',
  concurrency: 2,
  reporters: ['clear-text', 'json', 'outcomes'],
  jsonReporter: { fileName: 'dist/mutate.json' },
  tempDirName: '.cache/mutate',
  // On a busy machine a run without a loop takes minutes, and is no timeout.
  timeoutMS: 300_000,
  dryRunTimeoutMinutes: 40,
};
