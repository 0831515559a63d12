import { version } from '../../../package.json';
import { caution } from '../features/caution.ts';
import { check } from '../features/check.ts';
import type { Diagnosis } from '../features/check.ts';
import { explain } from '../features/explain.ts';
import { findings } from '../findings/registry.ts';
import { annotations } from '../report/listing/annotations.ts';
import { humanReport } from '../report/listing/human.ts';
import { jsonReport } from '../report/listing/json.ts';
import { count } from '../report/listing/listing.ts';
import type { Listing, Severity } from '../report/listing/listing.ts';
import { printable } from '../report/listing/printable.ts';
import { sarifReport } from '../report/listing/sarif.ts';
import { checkingOptions, readArguments, readCount, UsageError } from './arguments.ts';
import type { Options } from './arguments.ts';
import type { Command } from './command.ts';
import { gather, repositoryRoot, shownName } from './gather.ts';
import { dayOf, severitiesOf } from './settings.ts';
import { uriOf } from './targets.ts';
import { complain, paintFor, say, widthOf } from './terminal.ts';

const options = {
  format: {
    type: 'string',
    value: 'FORMAT',
    choices: ['human', 'json', 'sarif', 'annotations'],
    help: 'human (the default), json, sarif (SARIF 2.1.0), or annotations (::error file=… for build servers)',
  },
  'fail-on': {
    type: 'string',
    value: 'SEVERITY',
    choices: ['error', 'warning', 'information'],
    help: 'exit with 1 when a finding is this severe or worse (default: warning)',
  },
  'max-warnings': {
    type: 'string',
    value: 'N',
    help: 'let up to N warnings pass; one more fails',
  },
  'exit-zero': { type: 'boolean', help: 'exit with 0 whatever is found' },
  ...checkingOptions,
  quiet: { type: 'boolean', short: 'q', help: 'print only the findings that make the check fail' },
  statistics: { type: 'boolean', help: 'add how often each finding occurs' },
} as const satisfies Options;

export const command: Command = {
  usage: '[PATHS…]',
  about: [
    'Checks repair plans, shop procedures, connector lists and rate sheets.',
    "PATHS are files, folders (with all below them, but for node_modules and folders whose name starts with a dot), patterns in quotes, or '-' for standard input; without any, the current folder. What a plan uses is read when it lies in the current folder or beside what was given.",
    'Exit code 0: nothing found that counts. 1: findings at or above --fail-on. 2: the command line was not understood, or something could not be read; the rest was checked all the same.',
  ],
  options,
  examples: [
    ['plugward check', 'everything below the current folder'],
    ['plugward check plans/HL-0147.repair-plan.yaml --fail-on error', 'one plan; warnings do not fail'],
    ['plugward check --format sarif > plugward.sarif', 'a report for the build server'],
  ],
  async run(args) {
    const { values, positionals } = readArguments(options, args);
    if (values['stdin-filename'] !== undefined && !positionals.includes('-')) {
      throw new UsageError("--stdin-filename goes with the path '-'.");
    }
    const maxWarnings = values['max-warnings'];
    const limit = maxWarnings === undefined ? undefined : readCount('--max-warnings', maxWarnings);
    const settings = { today: dayOf(values.today), severities: severitiesOf(values.severity) };
    const cwd = process.cwd();
    const { workspace, asked, trouble, name } = await gather(positionals, values['stdin-filename'], cwd);
    const files: { uri: string; findings: Diagnosis[] }[] = [];
    for (const { uri } of asked) {
      try {
        files.push({ uri, findings: check(workspace, uri, settings) });
      } catch (error) {
        // A fault of the checker on one file keeps no other from being checked.
        trouble.push({ uri, reason: `the checker failed on it, please report this: ${String(error)}` });
      }
    }
    const listing: Listing = {
      files,
      unread: trouble,
      sources: workspace,
    };

    const failOn = values['fail-on'] ?? 'warning';
    const failed = !values['exit-zero'] && fails(listing, failOn, limit);
    const exitCode = trouble.length > 0 ? 2 : failed ? 1 : 0;

    const titles = new Map(findings.map(({ id, title }) => [id, title]));
    const human = {
      width: widthOf(process.stdout),
      paint: paintFor(process.stdout, values['no-color']),
      name,
      caution,
      title: (id: string) => titles.get(id),
      statistics: values.statistics,
      only: values.quiet ? failOn : undefined,
    };
    const root = await repositoryRoot(cwd);
    switch (values.format ?? 'human') {
      case 'human':
        say(humanReport(listing, human));
        break;
      case 'json':
        say(jsonReport(listing, { version, name }));
        break;
      case 'annotations':
        say(annotations(listing, { name: (uri) => shownName(uri, root) }));
        break;
      case 'sarif':
        say(
          sarifReport(listing, {
            version,
            root: uriOf(root).replace(/\/?$/, '/'),
            exitCode,
            rules: findings.map((rule) => ({ ...rule, page: explain(rule.id) ?? rule.means })),
          }),
        );
    }
    for (const { uri, reason } of trouble) complain(`${printable(name(uri))} was not checked: ${reason}.`);
    return exitCode;
  },
};

/** Whether a listing fails: a finding at or above `failOn`, or more warnings than `limit`. */
function fails(listing: Listing, failOn: Severity, limit: number | undefined): boolean {
  const { error, warning, information } = count(listing);
  const warningsCount = limit !== undefined || failOn !== 'error';
  return (
    error > 0 || (warningsCount && warning > (limit ?? 0)) || (failOn === 'information' && information > 0)
  );
}
