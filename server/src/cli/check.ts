import { dirname, join, resolve } from 'node:path';
import { URI } from 'vscode-uri';
import { say } from '../language/phrase.ts';
import type { Diagnosis, Settings } from '../features/check.ts';
import { newSince, recordOf } from '../compare/baseline.ts';
import type { FileRecord } from '../compare/baseline.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { baselineText, isBaseline, readBaseline } from './baseline.ts';
import { Revision } from './git.ts';
import { Tally } from '../report/listing/listing.ts';
import { printable } from '../report/listing/printable.ts';
import { checkingOptions, jobsOf, jobsOption, readArguments, readCount, UsageError } from './arguments.ts';
import type { Options } from './arguments.ts';
import { checkBatch, checkOne, isBatch } from './batch.ts';
import type { Batch, Checked } from './batch.ts';
import type { Command } from './command.ts';
import { gatherTargets, inputsOf, repositoryRoot } from './gather.ts';
import { cachePlace } from './known-findings.ts';
import { listings, printoutsOf } from './listing.ts';
import type { ListingName, ListingOptions } from './listing.ts';
import { failingOptions, fails } from './failing.ts';
import { inShard, readShard, shardOption } from './shard.ts';
import { settingsOf } from './settings.ts';
import { findTargets, uriOf } from './targets.ts';
import type { Targets } from './targets.ts';
import type { Round } from './watch.ts';
import { coloursOn, isPlain, printError, widthOf } from './terminal.ts';
import { outputsOptions, readOutput, readOutputs, write } from './output.ts';

const options = {
  format: {
    type: 'string',
    multiple: true,
    value: say`FORMAT`,
    choices: listings,
    help: say`human (the default), lines (one line a finding, for an editor's list of errors), json, sarif (SARIF 2.1.0), junit (JUnit's XML), code-quality (GitLab's report), or annotations (::error file=… for build servers); may be repeated, each with its --output`,
  },
  ...failingOptions,
  ...outputsOptions,
  since: {
    type: 'string',
    value: say`REVISION`,
    help: say`check only files that changed since this revision of the git repository, and all that depend on one that changed`,
  },
  shard: shardOption,
  'only-new': {
    type: 'string',
    value: say`FILE`,
    completes: 'files',
    help: say`tell only of findings that this baseline does not have`,
  },
  'write-baseline': {
    type: 'string',
    value: say`FILE`,
    completes: 'files',
    help: say`write all findings as they are now to this baseline`,
  },
  watch: {
    type: 'boolean',
    short: 'w',
    help: say`check again after each change in the current folder and the folders that were given, until Control+C (exit code 130)`,
  },
  ...checkingOptions,
  ...jobsOption,
  'no-cache': {
    type: 'boolean',
    help: say`check everything anew, and keep no findings for the next run`,
  },
  quiet: { type: 'boolean', short: 'q', help: say`print only the findings that make the check fail` },
  statistics: { type: 'boolean', help: say`add a count of each finding` },
  ascii: {
    type: 'boolean',
    help: say`write plain ASCII signs, except in quoted lines and names (chosen by itself for a console that may lack others)`,
  },
} as const satisfies Options;

export const command: Command = {
  usage: say`[PATHS…]`,
  about: [
    say`Checks repair plans, shop procedures, connector lists and rate sheets.`,
    say`PATHS are files, folders (including subfolders, except node_modules, folders whose name starts with a dot, and what a repository's .gitignore or \`exclude\` of a rate sheet leaves out), patterns in quotes, or '-' for standard input; the default is the current folder. Files that a plan uses are read if they lie in the current folder or beside what was given.`,
    say`Exit code 0: nothing found that counts. 1: findings at or above --fail-on. 2: the command line was not understood, or something could not be read or written; the rest was checked all the same.`,
  ],
  options,
  completes: { files: true },
  examples: [
    ['plugward check', say`everything below the current folder`],
    ['plugward check plans/HL-0147.repair-plan.yaml --fail-on error', say`one plan; warnings do not fail`],
    ['plugward check --format sarif -o plugward.sarif', say`a report for the build server`],
    ['plugward check --format json -o a.json --format junit -o a.xml', say`two formats in one run`],
  ],
  async run(args) {
    const { values, positionals, given } = readArguments(options, args);
    if (values['stdin-filename'] !== undefined && !positionals.includes('-')) {
      throw new UsageError(say`--stdin-filename needs the path '-'.`);
    }
    if (values.watch && (positionals.includes('-') || values['write-baseline'] !== undefined)) {
      throw new UsageError(say`--watch goes neither with the path '-' nor with --write-baseline.`);
    }
    const maxWarnings = values['max-warnings'];
    const limit = maxWarnings === undefined ? undefined : readCount('--max-warnings', maxWarnings);
    const jobs = jobsOf(values.jobs);
    const settings = settingsOf(values);
    const shard = readShard(values.shard);
    const outputs = await readOutputs<ListingName>(given, values.force, 'human');
    const baselineFile = values['write-baseline'];
    const baselineOutput =
      baselineFile === undefined
        ? undefined
        : await readOutput({ output: baselineFile, force: isBaseline(baselineFile) });
    const failOn = values['fail-on'] ?? 'warning';
    const cwd = process.cwd();
    const look: ListingOptions = {
      prints: outputs.map(({ format, output: { path } }) => ({
        format,
        ascii: values.ascii || (path === undefined && isPlain(process.stdout)),
        colour: path === undefined && coloursOn(process.stdout, values['no-color']),
      })),
      cwd,
      root: await repositoryRoot(cwd),
      width: widthOf(process.stdout),
      statistics: values.statistics,
      only: values.quiet ? failOn : undefined,
      failOn,
      language: settings.language,
    };
    const once = async (): Promise<Round & { readonly exitCode: number }> => {
      // A watch may run past midnight.
      const today = settingsOf(values);
      const all = await findTargets(positionals, cwd);
      const part = shard && inShard(all, shard, cwd);
      const targets = part?.targets ?? all;
      const known = values['only-new'] === undefined ? undefined : readBaseline(values['only-new']);
      const records = values['write-baseline'] === undefined ? undefined : new Map<string, FileRecord>();
      const narrowed = known !== undefined || records !== undefined || values.since !== undefined;
      const looked = [cwd, look.root, ...targets.folders];
      const cache = values['no-cache'] || narrowed ? undefined : cachePlace(looked, program());
      const narrowing = { since: values.since, known, records };
      const { checked, trouble, name, inputs } =
        isBatch(targets) && !narrowed
          ? await checkBatch(targets, look, today, { jobs, cache })
          : await checkTogether(targets, values['stdin-filename'], look, today, narrowing);

      const tally = new Tally();
      for (const { findings } of checked) tally.add(findings);
      const counts = { ...tally.counts, unread: trouble.length };
      const failed = !values['exit-zero'] && fails(counts, failOn, limit);
      const exitCode = trouble.length > 0 ? 2 : failed ? 1 : 0;
      const record = part && {
        ...shard!,
        total: all.files.length,
        today: today.today!,
        files: part.files,
        findings: new Map(checked.map(({ uri, findings }) => [uri, findings.length])),
      };
      const wholes = printoutsOf(look, name).map((printout, at) =>
        printout.whole(
          checked.map(({ uri, parts }) => ({ uri, part: parts[at]! })),
          { counts, unread: trouble, exitCode, shard: record },
        ),
      );
      let written = true;
      if (records && trouble.length === 0) {
        const text = baselineText(values['write-baseline']!, records);
        written = await write(baselineOutput!, text, inputs());
      }
      for (const [at, { output }] of outputs.entries()) {
        written = (await write(output, wholes[at]!, inputs())) && written;
      }
      for (const { uri, reason } of trouble)
        printError(say`${printable(name(uri))} was not checked: ${reason}.`);
      return { exitCode: written ? exitCode : 2, folders: [cwd, ...targets.folders], inputs: inputs() };
    };
    if (!values.watch) return (await once()).exitCode;
    const places = outputs.flatMap(({ output: { path } }) => (path === undefined ? [] : [path]));
    return (await import('./watch.ts')).keepChecking(
      [cwd, ...positionals.map((path) => resolve(cwd, path))],
      places,
      once,
    );
  },
};

/** Names of files beside this one that hold parts of the program, put in by the build. */
declare const __PLUGWARD_BESIDES__: readonly string[];
/** All files that a change of the checker may be in. */
const program = (): readonly string[] => [
  __filename,
  ...__PLUGWARD_BESIDES__.map((name) => join(dirname(__filename), name)),
];

/** Which files are looked at, and which of their findings are told. */
interface Narrowing {
  readonly since: string | undefined;
  /** The record of a file in a baseline. */
  readonly known: ((uri: string) => FileRecord | undefined) | undefined;
  /** Where records of all findings are put. */
  readonly records: Map<string, FileRecord> | undefined;
}

/** Few files, or some that hang together: all are in memory at the same time. */
async function checkTogether(
  targets: Targets,
  standardInputName: string | undefined,
  look: ListingOptions,
  settings: Settings,
  { since, known, records }: Narrowing,
): Promise<Batch> {
  const { workspace, asked, trouble, name } = await gatherTargets(targets, standardInputName, look.cwd);
  const printouts = printoutsOf(look, name);
  const affected = since === undefined ? undefined : await affectedSince(since, workspace, look.cwd);
  const told = (uri: string, findings: readonly Diagnosis[]): readonly Diagnosis[] => {
    const plan = workspace.plan(uri);
    if (!plan) return findings;
    const version = { plan, findings, text: (one: string) => workspace.text(one) };
    records?.set(uri, recordOf(version));
    const record = known?.(uri);
    if (!record) return findings;
    const fresh = new Set<unknown>(newSince(version, record));
    return findings.filter((diagnosis) => fresh.has(diagnosis));
  };
  const checked: Checked[] = [];
  for (const { uri } of asked) {
    if (affected && !affected.has(uri)) continue;
    const one = checkOne(workspace, uri, printouts, settings, told);
    if ('reason' in one) trouble.push(one);
    else checked.push(one);
  }
  if (affected && checked.length === 0) {
    printError(
      say`none of these files changed since ${printable(since!)}, and none depends on a file that did.`,
    );
  }
  return { checked, trouble, name, inputs: () => inputsOf({ workspace }) };
}

/** The files that differ from a revision, and all whose findings may differ with them. */
async function affectedSince(name: string, workspace: Workspace, cwd: string): Promise<ReadonlySet<string>> {
  const revision = await Revision.open(name, cwd);
  const changed = await revision.changed();
  const affected = new Set<string>();
  const add = (uri: string): void => {
    for (const one of workspace.dependents(uri)) affected.add(one);
  };
  const files = new Set(workspace.uris);
  for (const uri of [...files, ...workspace.photos]) {
    const path = await revision.pathOf(URI.parse(uri).fsPath);
    // What lies outside of the repository, or is left out of it, has no history: it is looked at.
    const isUnknown = path === undefined || (files.has(uri) && !revision.files.has(path));
    if (isUnknown || changed.has(path)) add(uri);
  }
  // What was removed is no longer in the workspace, and yet others may name it.
  for (const path of changed) add(uriOf(join(revision.root, path)));
  return affected;
}
