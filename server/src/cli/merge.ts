import { readFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import { own } from '../base/collections.ts';
import { say } from '../language/phrase.ts';
import { jsonSummary } from '../report/listing/json.ts';
import { jsonText } from '../report/listing/json-text.ts';
import { Tally } from '../report/listing/listing.ts';
import type { Counts, Severity, ShownShard } from '../report/listing/listing.ts';
import { printable } from '../report/listing/printable.ts';
import { readArguments, readCount, speakingOptions, UsageError } from './arguments.ts';
import type { Options } from './arguments.ts';
import type { Command } from './command.ts';
import { failingOptions, fails } from './failing.ts';
import { mergeReviews } from './merge-reviews.ts';
import type { ReviewPart } from './merge-reviews.ts';
import { outputOptions, readOutput, write } from './output.ts';
import { filesInOrder, noPart, placesOf, requireWhole, unreadOf } from './parts.ts';
import type { Part } from './parts.ts';
import { reasonOf } from './reasons.ts';

const options = {
  ...failingOptions,
  ...outputOptions,
  language: speakingOptions.language,
} as const satisfies Options;

type Entry = Readonly<Record<string, unknown>>;

/** The JSON of `check` or `report review`, as far as it is looked at. */
interface JsonPart {
  readonly shard: ShownShard;
  readonly tool: unknown;
  readonly format: unknown;
  readonly findings: readonly Entry[];
  readonly unread: readonly { readonly file: string; readonly reason: string }[];
}

interface SarifRun extends Entry {
  readonly results: readonly Entry[];
  readonly artifacts: readonly { readonly location: { readonly uri: string } }[];
  readonly invocations: readonly [{ readonly toolExecutionNotifications: readonly Entry[] }];
}

interface SarifPart extends Entry {
  readonly runs: readonly [SarifRun & { readonly properties: { readonly shard: ShownShard } }];
}

export const command: Command = {
  usage: say`FILES…`,
  about: [
    say`Puts the parts of a run together that was split with --shard: the SARIF or JSON of check, or the reviews of a folder. What comes out is what one run over all files would have printed. Nothing is written unless every part is there, and all are of one run.`,
    say`Exit code 0: nothing found that counts. 1: findings at or above --fail-on, in the SARIF or JSON of check. 2: the command line was not understood, a part is missing or does not fit, or something could not be read or written, now or when the part was made.`,
  ],
  options,
  completes: { files: true },
  examples: [
    [
      'plugward merge part-*.sarif -o plugward.sarif',
      say`parts of a check, from the machines of a build server`,
    ],
    ['plugward merge review-*.json -o review.html', say`parts of \`report review FOLDER --shard\``],
  ],
  async run(args) {
    const { values, positionals } = readArguments(options, args);
    const output = await readOutput(values);
    const max = values['max-warnings'];
    const limit = max === undefined ? undefined : readCount('--max-warnings', max);
    const failOn = values['fail-on'] ?? 'warning';
    const codeOf = (counts: Counts): number =>
      counts.unread > 0 ? 2 : !values['exit-zero'] && fails(counts, failOn, limit) ? 1 : 0;
    if (positionals.length === 0) throw new UsageError(say`Name the parts: plugward merge FILES….`);
    const files = await Promise.all(
      positionals.map(async (path) => ({ path, content: await readJson(path) })),
    );
    const forms = new Set(files.map(({ path, content }) => formOf(path, content)));
    if (forms.size > 1)
      throw new UsageError(say`These parts are of different formats; merge one format at a time.`);
    const [form] = forms;
    const parts = files.map(({ path, content }) => {
      const holder = form === 'sarif' ? (content as SarifPart).runs[0].properties : (content as JsonPart);
      return { path, shard: holder.shard, content };
    });
    requireWhole(parts);
    const merge = (): Merged =>
      form === 'sarif'
        ? mergeSarif(parts as Part<SarifPart>[], codeOf)
        : form === 'review'
          ? mergeReviews(parts as Part<ReviewPart>[])
          : mergeJson(parts as Part<JsonPart>[], codeOf);
    const { text, code } = ofOurs(merge, positionals[0]!);
    return (await write(
      output,
      text,
      positionals.map((path) => resolve(path)),
    ))
      ? code
      : 2;
  },
};

/** Runs over data that may be of any shape. @throws UsageError where it is not that of a part */
function ofOurs<T>(read: () => T, path: string): T {
  try {
    return read();
  } catch (error) {
    if (error instanceof TypeError) throw noPart(path);
    throw error;
  }
}

async function readJson(path: string): Promise<unknown> {
  try {
    return JSON.parse(await readFile(resolve(path), 'utf8'));
  } catch (error) {
    if (error instanceof SyntaxError) throw noPart(path);
    throw new UsageError(say`${printable(path)} was not read: ${reasonOf(error)}.`);
  }
}

/** @throws UsageError for what is no part */
function formOf(path: string, content: unknown): 'sarif' | 'json' | 'review' {
  const record = (value: unknown): Entry =>
    typeof value === 'object' && value !== null ? (value as Entry) : {};
  const { runs, shard, findings, review } = record(content);
  const run = Array.isArray(runs) ? record(runs[0]) : {};
  const form = Array.isArray(run['results'])
    ? 'sarif'
    : Array.isArray(findings)
      ? 'json'
      : review
        ? 'review'
        : undefined;
  const { number, of, total, today, files } = record(
    form === 'sarif' ? record(run['properties'])['shard'] : shard,
  );
  const counted =
    [number, of, total].every(Number.isInteger) && typeof today === 'string' && Array.isArray(files);
  if (!form || !counted) throw noPart(path);
  return form;
}

const listed = (
  severityOf: (one: Entry) => Severity,
  idOf: string,
  files: ReturnType<typeof filesInOrder<Entry>>,
) => {
  const tally = new Tally();
  for (const { checked, entries } of files) {
    if (checked)
      tally.add(
        entries.map((one) => ({ finding: String(own<unknown>(one, idOf)), severity: severityOf(one) })),
      );
  }
  return tally.counts;
};

interface Merged {
  readonly text: string;
  readonly code: number;
}

function mergeJson(parts: readonly Part<JsonPart>[], codeOf: (counts: Counts) => number): Merged {
  const files = filesInOrder(parts.map(({ content, ...part }) => ({ ...part, entries: content.findings })));
  const placeOf = placesOf(parts);
  const unread = unreadOf(
    parts.map(({ path, content }) => ({ path, unread: content.unread })),
    ({ file }) => placeOf(file),
  );
  const counts = { ...listed((one) => one['severity'] as Severity, 'finding', files), unread: unread.length };
  const { tool, format } = parts[0]!.content;
  const findings = files.flatMap(({ entries }) => entries);
  return {
    text: `${jsonText({ tool, format, findings, unread, summary: jsonSummary(counts) })}\n`,
    code: codeOf(counts),
  };
}

const severityOf: Readonly<Record<string, Severity>> = {
  error: 'error',
  warning: 'warning',
  note: 'information',
};

function mergeSarif(parts: readonly Part<SarifPart>[], codeOf: (counts: Counts) => number): Merged {
  const runs = parts.map(({ content }) => content.runs[0]);
  const files = filesInOrder(
    parts.map(({ path, shard }, at) => ({ path, shard, entries: runs[at]!.results })),
  );
  const artifacts = new Map(
    runs.flatMap((run) => run.artifacts.map((one) => [one.location.uri, one] as const)),
  );
  const placeOf = placesOf(parts);
  const unread = unreadOf(
    parts.map(({ path }, at) => ({
      path,
      unread: runs[at]!.invocations[0].toolExecutionNotifications,
    })),
    (one) => placeOf((one as unknown as Notification).locations[0].physicalLocation.artifactLocation.uri),
  );
  const severity = (one: Entry): Severity => own<Severity>(severityOf, String(one['level'])) ?? 'error';
  const counts = { ...listed(severity, 'ruleId', files), unread: unread.length };
  const code = codeOf(counts);
  const { properties: _, ...run } = runs[0]!;
  const whole = {
    ...run,
    invocations: [
      { executionSuccessful: unread.length === 0, exitCode: code, toolExecutionNotifications: unread },
    ],
    artifacts: files.flatMap(({ name, checked }) => (checked ? [artifacts.get(name)] : [])),
    results: files.flatMap(({ entries }) => entries),
  };
  return { text: `${jsonText({ ...parts[0]!.content, runs: [whole] })}\n`, code };
}

interface Notification {
  readonly locations: readonly [
    { readonly physicalLocation: { readonly artifactLocation: { readonly uri: string } } },
  ];
}
