import { URI } from 'vscode-uri';
import { say } from '../language/phrase.ts';
import { version } from '../../../package.json';
import { compare, isSame } from '../compare/compare.ts';
import type { Comparison, Version } from '../compare/compare.ts';
import { caution } from '../features/caution.ts';
import { versionIn } from '../features/comparison.ts';
import type { Settings } from '../features/check.ts';
import { languageOf } from '../language/language.ts';
import { comparisonText } from '../report/comparison/human.ts';
import { comparisonData, comparisonsJson } from '../report/comparison/json.ts';
import { comparisonPage } from '../report/comparison/page.ts';
import { severities } from '../base/severities.ts';
import type { Sources } from '../report/listing/listing.ts';
import { printable } from '../report/listing/printable.ts';
import { Workspace } from '../workspace/workspace.ts';
import { readArguments, speakingOptions, UsageError } from './arguments.ts';
import type { Options } from './arguments.ts';
import type { Command } from './command.ts';
import { FileError, reasonOf } from './reasons.ts';
import { inputsOf, loadDocuments, onDisk, readUsed } from './gather.ts';
import { Revision } from './git.ts';
import { outputOptions, readOutput, write } from './output.ts';
import { settingsOf } from './settings.ts';
import { printError, paintFor, widthOf } from './terminal.ts';

const options = {
  since: {
    type: 'string',
    value: say`REVISION`,
    help: say`compare each PLAN with what it was at this revision of its git repository, such as HEAD or main~3`,
  },
  format: {
    type: 'string',
    value: say`FORMAT`,
    choices: ['human', 'json', 'html'],
    help: say`human (the default), json, or html, a page to print (of one plan)`,
  },
  'fail-on': {
    type: 'string',
    value: say`SEVERITY`,
    choices: ['error', 'warning', 'information'],
    help: say`exit with 1 when a new finding is this severe or worse (default: never)`,
  },
  ...outputOptions,
  today: {
    type: 'string',
    value: say`DATE`,
    help: say`check both versions as on this day, YYYY-MM-DD (default: today)`,
  },
  ...speakingOptions,
} as const satisfies Options;

export const command: Command = {
  usage: say`{OLD NEW | --since REVISION PLAN…}`,
  about: [
    say`Says what changed between two versions of a repair plan, in meaning: steps, the order of work, bare connectors, limits, labour, material, readings, and findings that are new or gone. How a file is written, and in which order its keys stand, makes no difference; nor do ids that were renamed.`,
    say`OLD and NEW are repair plans. With --since, PLAN… are plans or folders, and the old versions of the plans and of all they use come from git. Nothing is checked out or changed.`,
    say`Exit code 0: compared. 1: there are new findings at or above --fail-on. 2: the command line was not understood, or a version could not be read; then nothing is written.`,
  ],
  options,
  completes: { files: true },
  examples: [
    ['plugward compare first.repair-plan.yaml second.repair-plan.yaml', say`two files`],
    ['plugward compare --since main plans', say`all plans of a folder that changed since the branch main`],
    [
      'plugward compare --since HEAD~1 HL-0147.repair-plan.yaml --format html -o changes.html',
      say`a page for the reviewer`,
    ],
  ],
  async run(args) {
    const { values, positionals } = readArguments(options, args);
    const output = await readOutput(values);
    const format = values.format ?? 'human';
    const settings = settingsOf({ today: values.today, severity: [] });
    const cwd = process.cwd();
    const { compared, added, unread, inputs } =
      values.since === undefined
        ? await twoFiles(positionals, cwd, settings)
        : await sinceRevision(values.since, positionals, cwd, settings);
    for (const { name, reason } of unread) printError(say`${printable(name)} was not compared: ${reason}.`);
    if (unread.length > 0) return 2;
    if (format === 'html' && compared.length !== 1) {
      throw new UsageError(say`A page is about one plan; these are ${compared.length}.`);
    }
    const failOn = values['fail-on'];
    const failing = failOn ? severities.slice(0, severities.indexOf(failOn) + 1) : [];
    const failed = compared.some(({ comparison }) =>
      comparison.findings.fresh.some(({ severity }) => failing.includes(severity)),
    );
    const language = languageOf(settings.language);
    const paint = paintFor(process.stdout, values['no-color'] || output.path !== undefined);
    const text = {
      human: () => {
        const changed = compared.filter(({ comparison }) => !isSame(comparison));
        const pieces = (compared.length === 1 ? compared : changed).map((one) =>
          comparisonText(one.comparison, {
            ...one,
            width: widthOf(process.stdout),
            paint,
            caution,
            language,
          }),
        );
        const notes = [
          ...added.map((name) => say`${printable(name)} is new: it was not there at ${values.since ?? ''}.`),
          ...(compared.length > 1
            ? [say`${changed.length} of ${compared.length} plans changed in meaning.`]
            : []),
        ];
        return [
          ...pieces,
          ...(notes.length > 0 ? [notes.map((note) => `${note.in(language)}\n`).join('')] : []),
        ].join('\n');
      },
      json: () =>
        comparisonsJson(
          compared.map(({ comparison, old, new: now }) => comparisonData(comparison, { old, new: now })),
          { version, added },
        ),
      html: () =>
        comparisonPage(compared[0]!.comparison, {
          today: settings.today!,
          caution,
          language: settings.language,
          old: compared[0]!.old,
          new: compared[0]!.new,
        }),
    }[format]();
    if (!(await write(output, text, inputs))) return 2;
    return failed ? 1 : 0;
  },
};

/** A comparison with the names of its versions and the texts they point into. */
export interface Compared {
  readonly comparison: Comparison;
  readonly old: string;
  readonly new: string;
  readonly oldSources: Sources;
  readonly newSources: Sources;
}

interface Outcome {
  readonly compared: readonly Compared[];
  /** Names of plans that the old revision did not have. */
  readonly added: readonly string[];
  readonly unread: readonly { readonly name: string; readonly reason: string }[];
  /** Files that were read, which no print may replace. */
  readonly inputs: readonly string[];
}

/** @throws FileError where the plan cannot be read as a whole */
function versionOf(workspace: Workspace, uri: string, settings: Settings): Version {
  const read = versionIn(workspace, uri, settings);
  if ('refused' in read) throw new FileError(read.refused);
  return read.version;
}

/** Two plans on the disk. */
export async function twoFiles(paths: readonly string[], cwd: string, settings: Settings): Promise<Outcome> {
  if (paths.length !== 2) {
    throw new UsageError(
      say`Name two plans, the old one first: plugward compare OLD NEW. Or one and --since REVISION.`,
    );
  }
  const unread: { name: string; reason: string }[] = [];
  const sides: { name: string; version: Version; workspace: Workspace }[] = [];
  const inputs: string[] = [];
  for (const path of paths) {
    const gathered = await loadDocuments([path], undefined, cwd);
    const { workspace, asked, trouble, name } = gathered;
    inputs.push(...inputsOf(gathered));
    for (const { uri, reason } of trouble) unread.push({ name: name(uri), reason });
    if (trouble.length > 0) continue;
    if (asked.length !== 1)
      throw new UsageError(say`${printable(path)} is a folder; name one plan, or use --since REVISION.`);
    const { uri } = asked[0]!;
    try {
      sides.push({ name: name(uri), version: versionOf(workspace, uri, settings), workspace });
    } catch (error) {
      if (!(error instanceof FileError)) throw error;
      unread.push({ name: name(uri), reason: reasonOf(error) });
    }
  }
  const [old, now] = sides;
  if (unread.length > 0 || !old || !now) return { compared: [], added: [], unread, inputs };
  const comparison = compare(old.version, now.version);
  const compared = {
    comparison,
    old: old.name,
    new: now.name,
    oldSources: old.workspace,
    newSources: now.workspace,
  };
  return { compared: [compared], added: [], unread, inputs };
}

/** Plans on the disk and what they were at a revision. */
export async function sinceRevision(
  name: string,
  paths: readonly string[],
  cwd: string,
  settings: Settings,
): Promise<Outcome> {
  if (paths.length === 0)
    throw new UsageError(say`Name a plan or a folder: plugward compare --since ${printable(name)} PLAN.`);
  const revision = await Revision.open(name, cwd);
  const gathered = await loadDocuments(paths, undefined, cwd);
  const { workspace, asked, trouble, folders, name: nameOf } = gathered;
  const unread = trouble.map(({ uri, reason }) => ({ name: nameOf(uri), reason }));
  const plans = asked.filter(({ uri }) => workspace.document(uri)?.kind === 'repair-plan');
  if (plans.length === 0 && unread.length === 0)
    throw new UsageError(say`There is no repair plan in what was named.`);
  const source = revision.source(onDisk({ folders: [cwd, ...folders] }));
  const renames = await revision.renames();
  const compared: Compared[] = [];
  const added: string[] = [];
  for (const { uri } of plans) {
    const shown = nameOf(uri);
    try {
      const path = await revision.pathOf(URI.parse(uri).fsPath);
      if (path === undefined) throw new FileError(say`it lies outside of the repository`);
      const oldPath = revision.files.has(path) ? path : renames.get(path);
      if (oldPath === undefined && plans.length > 1) {
        added.push(shown);
        continue;
      }
      const text = await revision.text(oldPath ?? path);
      const earlier = new Workspace();
      // A renamed file used others by paths from where it was; it is called as it is now to be compared.
      const oldUri =
        oldPath === undefined || oldPath === path ? uri : URI.file(`${revision.root}/${oldPath}`).toString();
      earlier.set(oldUri, text);
      await readUsed(earlier, source);
      compared.push({
        comparison: compare(versionOf(earlier, oldUri, settings), versionOf(workspace, uri, settings)),
        old: `${printable(name)}:${oldPath ?? path}`,
        new: shown,
        oldSources: earlier,
        newSources: workspace,
      });
    } catch (error) {
      if (!(error instanceof FileError)) throw error;
      unread.push({ name: shown, reason: reasonOf(error) });
    }
  }
  return { compared, added, unread, inputs: [...inputsOf(gathered)] };
}
