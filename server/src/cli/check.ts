import { say } from '../language/phrase.ts';
import type { Settings } from '../features/check.ts';
import { Tally } from '../report/listing/listing.ts';
import type { Counts, Severity } from '../report/listing/listing.ts';
import { printable } from '../report/listing/printable.ts';
import { checkingOptions, readArguments, readCount, UsageError } from './arguments.ts';
import type { Options } from './arguments.ts';
import { checkBatch, checkOne, isBatch } from './batch.ts';
import type { Batch, Checked } from './batch.ts';
import type { Command } from './command.ts';
import { gatherTargets, inputsOf, repositoryRoot } from './gather.ts';
import { listings, printoutOf } from './listing.ts';
import type { ListingOptions } from './listing.ts';
import { settingsOf } from './settings.ts';
import { findTargets } from './targets.ts';
import type { Targets } from './targets.ts';
import { coloursOn, complain, widthOf } from './terminal.ts';
import { outputOptions, readOutput, write } from './output.ts';

const options = {
  format: {
    type: 'string',
    value: say`FORMAT`,
    choices: listings,
    help: say`human (the default), json, sarif (SARIF 2.1.0), or annotations (::error file=… for build servers)`,
  },
  'fail-on': {
    type: 'string',
    value: say`SEVERITY`,
    choices: ['error', 'warning', 'information'],
    help: say`exit with 1 when a finding is this severe or worse (default: warning)`,
  },
  'max-warnings': {
    type: 'string',
    value: 'N',
    help: say`allow up to N warnings; one more fails`,
  },
  'exit-zero': { type: 'boolean', help: say`exit with 0 whatever is found` },
  ...outputOptions,
  ...checkingOptions,
  quiet: { type: 'boolean', short: 'q', help: say`print only the findings that make the check fail` },
  statistics: { type: 'boolean', help: say`add a count of each finding` },
} as const satisfies Options;

export const command: Command = {
  usage: say`[PATHS…]`,
  about: [
    say`Checks repair plans, shop procedures, connector lists and rate sheets.`,
    say`PATHS are files, folders (including subfolders, except node_modules and folders whose name starts with a dot), patterns in quotes, or '-' for standard input; the default is the current folder. Files that a plan uses are read if they lie in the current folder or beside what was given.`,
    say`Exit code 0: nothing found that counts. 1: findings at or above --fail-on. 2: the command line was not understood, or something could not be read or written; the rest was checked all the same.`,
  ],
  options,
  examples: [
    ['plugward check', say`everything below the current folder`],
    ['plugward check plans/HL-0147.repair-plan.yaml --fail-on error', say`one plan; warnings do not fail`],
    ['plugward check --format sarif -o plugward.sarif', say`a report for the build server`],
  ],
  async run(args) {
    const { values, positionals } = readArguments(options, args);
    if (values['stdin-filename'] !== undefined && !positionals.includes('-')) {
      throw new UsageError(say`--stdin-filename needs the path '-'.`);
    }
    const maxWarnings = values['max-warnings'];
    const limit = maxWarnings === undefined ? undefined : readCount('--max-warnings', maxWarnings);
    const settings = settingsOf(values);
    const output = await readOutput(values);
    const failOn = values['fail-on'] ?? 'warning';
    const cwd = process.cwd();
    const look: ListingOptions = {
      format: values.format ?? 'human',
      cwd,
      root: await repositoryRoot(cwd),
      width: widthOf(process.stdout),
      colour: output.path === undefined && coloursOn(process.stdout, values['no-color']),
      statistics: values.statistics,
      only: values.quiet ? failOn : undefined,
      language: settings.language,
    };
    const targets = await findTargets(positionals, cwd);
    const { checked, trouble, name, inputs } = isBatch(targets)
      ? await checkBatch(targets, look, settings)
      : await checkTogether(targets, values['stdin-filename'], look, settings);

    const tally = new Tally();
    for (const { findings } of checked) tally.add(findings);
    const counts = { ...tally.counts, unread: trouble.length };
    const failed = !values['exit-zero'] && fails(counts, failOn, limit);
    const exitCode = trouble.length > 0 ? 2 : failed ? 1 : 0;
    const listing = printoutOf(look, name).whole(checked, { counts, unread: trouble, exitCode });
    const written = await write(output, listing, inputs());
    for (const { uri, reason } of trouble) complain(say`${printable(name(uri))} was not checked: ${reason}.`);
    return written ? exitCode : 2;
  },
};

/** Few files: all are in memory at the same time. */
async function checkTogether(
  targets: Targets,
  standardInputName: string | undefined,
  look: ListingOptions,
  settings: Settings,
): Promise<Batch> {
  const { workspace, asked, trouble, name } = await gatherTargets(targets, standardInputName, look.cwd);
  const printout = printoutOf(look, name);
  const checked: Checked[] = [];
  for (const { uri } of asked) {
    const one = checkOne(workspace, uri, printout, settings);
    if ('reason' in one) trouble.push(one);
    else checked.push(one);
  }
  return { checked, trouble, name, inputs: () => inputsOf({ workspace }) };
}

/** Whether a run fails: a finding at or above `failOn`, or more warnings than `limit`. */
function fails(
  { error, warning, information }: Counts,
  failOn: Severity,
  limit: number | undefined,
): boolean {
  const warningsCount = limit !== undefined || failOn !== 'error';
  return (
    error > 0 || (warningsCount && warning > (limit ?? 0)) || (failOn === 'information' && information > 0)
  );
}
