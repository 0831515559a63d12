// Plugins of StrykerJS for `npm run mutate`: which mutants are tried, what is not mutated at all, in which order tests run,
// and a list of outcomes.
import {
  PluginKind,
  commonTokens,
  declareClassPlugin,
  declareFactoryPlugin,
  declareValuePlugin,
  tokens,
} from '@stryker-mutator/api/plugin';
import { strykerPlugins as vitest } from '@stryker-mutator/vitest-runner';
import { createHash } from 'node:crypto';
import { appendFileSync, mkdirSync } from 'node:fs';
import path from 'node:path';

/** PLUGWARD_MUTANTS of 10,000 mutants are tried, PLUGWARD_MUTANTS_SEED says which; without it, all are. */
const share = Number(process.env.PLUGWARD_MUTANTS ?? 10_000) / 10_000;
const seed = process.env.PLUGWARD_MUTANTS_SEED ?? '1';

/** Chooses by what a mutant is and where, so that the same ones are tried wherever it runs. */
export function isChosen({ fileName, location: { start, end }, mutatorName, replacement }) {
  const file = path.relative(process.cwd(), fileName).replaceAll('\\', '/');
  const name = [seed, file, start.line, start.column, end.line, end.column, mutatorName, replacement].join();
  return createHash('sha256').update(name).digest().readUInt32BE() / 2 ** 32 < share;
}

class Sample {
  async init() {}

  async check(mutants) {
    const result = (mutant) =>
      isChosen(mutant) ? { status: 'passed' } : { status: 'compileError', reason: 'not in the sample' };
    return Object.fromEntries(mutants.map((mutant) => [mutant.id, result(mutant)]));
  }
}

/** Texts for people, which the tests of the language and of the pages hold; and the examples of the pages. */
export const texts = {
  shouldIgnore(path) {
    if (path.isTaggedTemplateExpression()) return 'a text for people';
    if (path.isObjectProperty() && path.node.key.name === 'example') return 'an example';
    return undefined;
  },
};

/** Whether a test is about the file that is changed: the rows of a finding, the tests of a folder's file. */
function isOwn(file) {
  const [name, folder] = [
    path.basename(file, '.ts'),
    /server\/src\/(\w+)\//.exec(file.replaceAll('\\', '/'))?.[1],
  ];
  const begins = folder === 'findings' ? `#${name} ` : `tests/${folder}/${name}`;
  return (test) =>
    test.includes(begins) ||
    test.includes(`#every finding ${name}: `) ||
    test.endsWith(`tests/told/findings.test.ts#${name}`);
}

/** Vitest, with the tests first that are about the file: most mutants are noticed there, in a second instead of half a minute. */
function ownFirst(injector) {
  const runner = vitest[0].factory(injector);
  const run = runner.mutantRun.bind(runner);
  runner.mutantRun = async (options) => {
    const own = (options.testFilter ?? []).filter(isOwn(options.sandboxFileName));
    const result = own.length > 0 ? await run({ ...options, testFilter: own }) : undefined;
    return result && result.status !== 'survived' ? result : run(options);
  };
  return runner;
}
ownFirst.inject = tokens(commonTokens.injector);

/** Appends each mutant that was tried to dist/mutants.jsonl, so that a run that is ended early has said something. */
class Outcomes {
  onMutationTestingPlanReady() {
    mkdirSync('dist', { recursive: true });
  }

  onMutantTested({ status, fileName, location, mutatorName, replacement }) {
    if (status === 'CompileError' || status === 'Ignored') return;
    const file = path.relative(process.cwd(), fileName);
    appendFileSync(
      'dist/mutants.jsonl',
      `${JSON.stringify({ status, file, ...location.start, mutatorName, replacement })}\n`,
    );
  }
}

export const strykerPlugins = [
  declareFactoryPlugin(PluginKind.TestRunner, 'own-first', ownFirst),
  declareClassPlugin(PluginKind.Reporter, 'outcomes', Outcomes),
  declareClassPlugin(PluginKind.Checker, 'sample', Sample),
  declareValuePlugin(PluginKind.Ignore, 'texts', texts),
];
