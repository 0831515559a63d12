// Plugins of StrykerJS for `npm run mutate`: which mutants are tried, what is not mutated at all, and a list of outcomes.
import { PluginKind, declareClassPlugin, declareValuePlugin } from '@stryker-mutator/api/plugin';
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
  declareClassPlugin(PluginKind.Reporter, 'outcomes', Outcomes),
  declareClassPlugin(PluginKind.Checker, 'sample', Sample),
  declareValuePlugin(PluginKind.Ignore, 'texts', texts),
];
