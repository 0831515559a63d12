import { stat } from 'node:fs/promises';
import { basename, dirname, resolve } from 'node:path';
import { orList, andList, say } from '../language/phrase.ts';
import { version } from '../../../package.json';
import { nearest } from '../base/nearest.ts';
import { caution } from '../features/caution.ts';
import { check } from '../features/check.ts';
import { jsonPrintout, jsonReport } from '../report/listing/json.ts';
import { jsonText } from '../report/listing/json-text.ts';
import { shownShard, Tally } from '../report/listing/listing.ts';
import { filesText } from '../report/listing/human.ts';
import { printable } from '../report/listing/printable.ts';
import { estimateCsv, estimateJson } from '../report/print/estimate-data.ts';
import { estimate } from '../report/print/estimate.ts';
import { folderEntry } from '../report/print/folder-entry.ts';
import type { FolderEntry, FolderTexts } from '../report/print/folder-entry.ts';
import { folderPage, folderParts } from '../report/print/folder-review.ts';
import type { FolderPart } from '../report/print/folder-review.ts';
import { jobCard } from '../report/print/job-card.ts';
import { owedPage } from '../report/print/owed.ts';
import { reasonsPage } from '../report/print/reasons.ts';
import { supplement } from '../report/print/supplement.ts';
import { review } from '../report/print/review.ts';
import { didYouMean, readArguments, speakingOptions, UsageError } from './arguments.ts';
import type { Options } from './arguments.ts';
import type { Command } from './command.ts';
import { twoFiles } from './compare.ts';
import { comparisonData, comparisonsJson } from '../report/comparison/json.ts';
import { loadDocuments, inputsOf, streamDocuments } from './gather.ts';
import { outputOptions, readOutput, write, writePieces } from './output.ts';
import type { Output } from './output.ts';
import { readPhotos } from './photos.ts';
import { readShard, shardOption } from './shard.ts';
import type { Shard } from './shard.ts';
import { dayOf, settingsOf } from './settings.ts';
import { Spool } from './spool.ts';
import type { SpoolRange } from './spool.ts';
import { printError, progressOf, localizeOutput } from './terminal.ts';

const formats = {
  'job-card': ['html'],
  estimate: ['html', 'csv', 'json'],
  review: ['html', 'json'],
  supplement: ['html', 'json'],
  reasons: ['html'],
  owed: ['html'],
} as const;
type Gathered = Awaited<ReturnType<typeof loadDocuments>>;
type Passing = Awaited<ReturnType<typeof streamDocuments>>;
type Sheet = keyof typeof formats;
type Format = 'html' | 'csv' | 'json';

const options = {
  format: {
    type: 'string',
    value: say`FORMAT`,
    choices: ['html', 'csv', 'json'],
    help: say`html (the default), a page to print; csv, for a spreadsheet (estimate only); json (estimate and review)`,
  },
  only: {
    type: 'string',
    multiple: true,
    value: say`PART`,
    choices: folderParts,
    help: say`print only this part of the review of a folder: ${folderParts.join(', ')}; may be repeated`,
  },
  shard: shardOption,
  ...outputOptions,
  language: speakingOptions.language,
  today: { type: 'string', value: say`DATE`, help: say`print as of this date, YYYY-MM-DD (default: today)` },
} as const satisfies Options;

export const command: Command = {
  usage: '{job-card|estimate|review|supplement|reasons|owed} PLAN',
  about: [
    say`Prints a plan: the job card for the technician, with a tag for every connector that is opened; the estimate for the payer, of the additional work around connectors, with a reference for each line; the review for the lead technician, with all findings, the timeline and the heat of the power connectors.`,
    say`For the argument with the payer: supplement OLD NEW, the lines that changed between two versions of a plan; reasons, one entry for each line that is claimed beside a published time. For the shop alone: owed, the work and material that no line bills yet.`,
    say`PLAN is a repair plan, or '-' for one from standard input. A review also takes a folder or several plans: worst first, with totals. The pages need no network and no script; print them from any browser, on A4 or Letter.`,
    say`Exit code 0: printed. 2: the command line was not understood, or something could not be read or written.`,
  ],
  options,
  completes: { first: Object.keys(formats), files: true },
  examples: [
    ['plugward report job-card HL-0147.repair-plan.yaml -o card.html', say`the page to print`],
    ['plugward report estimate HL-0147.repair-plan.yaml --format csv', say`the lines for a spreadsheet`],
    ['plugward report review plans -o review.html', say`all plans of a folder`],
    ['plugward report review plans --only plans --only sign-offs', say`two parts of it`],
  ],
  async run(args) {
    const { values, positionals } = readArguments(options, args);
    const [name, ...paths] = positionals;
    const sheet = sheetNamed(name);
    const format: Format = values.format ?? 'html';
    const offered: readonly Format[] = formats[sheet];
    if (!offered.includes(format)) {
      const offers = orList(offered);
      throw new UsageError(
        sheet === 'estimate'
          ? say`An estimate is printed as ${offers}, not as ${format}.`
          : say`A ${sheet} is printed as ${offers}, not as ${format}.`,
      );
    }
    if (paths.length === 0) throw new UsageError(say`Name a plan: plugward report ${sheet} PLAN.`);
    if (paths.length > 1 && sheet !== 'review' && sheet !== 'supplement') {
      throw new UsageError(
        sheet === 'estimate' ? say`An estimate is for one plan.` : say`A ${sheet} is for one plan.`,
      );
    }
    const output = await readOutput(values);
    const only = values.only as readonly FolderPart[];
    const notParted = (): never => {
      throw new UsageError(say`--only works with the review of a folder, as a page.`);
    };
    if (only.length > 0 && (sheet !== 'review' || format !== 'html')) notParted();

    const cwd = process.cwd();
    const today = dayOf(values.today);
    const shard = readShard(values.shard);
    if (sheet === 'review') {
      const source = await streamDocuments(paths, cwd, shard);
      if (shard || paths.length > 1 || source.count > 1 || (await isFolder(paths[0]!))) {
        return reviewFolder(source, paths, today, format, only, output, shard);
      }
    }
    if (shard) throw new UsageError(say`--shard works with the review of a folder.`);
    if (only.length > 0) notParted();
    if (sheet === 'supplement') return printSupplement(paths, today, format, output, cwd);
    const gathered = await loadDocuments(paths, undefined, cwd);
    const { trouble, name: nameOf } = gathered;
    for (const { uri, reason } of trouble)
      printError(say`${printable(nameOf(uri))} was not read: ${reason}.`);
    if (gathered.asked.length === 0) return 2;
    const text = await printOne(sheet, gathered, today, format, cwd);
    return (await write(output, text, inputsOf(gathered))) && trouble.length === 0 ? 0 : 2;
  },
};

function sheetNamed(name: string | undefined): Sheet {
  const names = Object.keys(formats);
  if (name !== undefined && Object.hasOwn(formats, name)) return name as Sheet;
  const guess = name === undefined ? undefined : nearest(name, names);
  throw new UsageError(
    name === undefined
      ? say`Say what to print: ${orList(names)}.`
      : guess === undefined
        ? say`There is no report '${name}'. There are ${andList(names)}.`
        : say`There is no report '${name}'.${didYouMean(guess)}`,
  );
}

const isFolder = async (path: string): Promise<boolean> =>
  (await stat(resolve(path)).catch(() => undefined))?.isDirectory() ?? false;

async function printOne(
  sheet: Sheet,
  { workspace, asked, folders, name }: Gathered,
  today: string,
  format: Format,
  cwd: string,
): Promise<string> {
  const { uri } = asked[0]!;
  const plan = workspace.plan(uri);
  if (asked.length > 1 || !plan || plan.document.kind !== 'repair-plan') {
    throw new UsageError(
      say`${printable(name(uri))} is not one repair plan; a ${sheet} is printed from one.`,
    );
  }
  const settings = settingsOf({ today, severity: [] });
  const findings = check(workspace, uri, settings);
  const print = { today, caution, language: settings.language };
  const errors = findings.filter(({ severity }) => severity === 'error').length;
  if (sheet === 'job-card') return jobCard(plan, { ...print, errors, findings });
  if (sheet === 'owed') return owedPage(plan, print);
  if (sheet === 'reasons') {
    return reasonsPage(plan, { ...print, photos: await readPhotos(plan, [cwd, ...folders]) });
  }
  if (sheet === 'estimate') {
    if (format === 'csv') return estimateCsv(plan);
    if (format === 'json') return estimateJson(plan, { version });
    return estimate(plan, { ...print, errors, photos: await readPhotos(plan, [cwd, ...folders]) });
  }
  if (format === 'json') {
    const listing = { files: [{ uri, findings }], unread: [], sources: workspace };
    return jsonReport(listing, { version, name });
  }
  return review({ plan, findings }, { ...print, sources: workspace, name });
}

/** The difference of two versions. Where one cannot be read, nothing is written. */
async function printSupplement(
  paths: readonly string[],
  today: string,
  format: Format,
  output: Output,
  cwd: string,
): Promise<number> {
  if (paths.length !== 2) {
    throw new UsageError(say`Name two plans, the old one first: plugward report supplement OLD NEW.`);
  }
  const settings = settingsOf({ today, severity: [] });
  const { compared, unread, inputs } = await twoFiles(paths, cwd, settings);
  for (const { name, reason } of unread) printError(say`${printable(name)} was not read: ${reason}.`);
  const [one] = compared;
  if (!one) return 2;
  const { comparison, old, new: now } = one;
  const text =
    format === 'json'
      ? comparisonsJson([comparisonData(comparison, { old, new: now })], { version, added: [] })
      : supplement(comparison, {
          today,
          caution,
          language: settings.language,
          old,
          new: now,
          photos: await readPhotos(comparison.new.plan, [cwd, dirname(resolve(paths[1]!))]),
        });
  return (await write(output, text, inputs)) ? 0 : 2;
}

/** File by file, keeping of each only a few numbers: a folder may hold more plans than memory does. */
async function reviewFolder(
  source: Passing,
  paths: readonly string[],
  today: string,
  format: Format,
  only: readonly FolderPart[],
  output: Output,
  shard: Shard | undefined,
): Promise<number> {
  const { workspace, name } = source;
  const settings = settingsOf({ today, severity: [] });
  const print = { today, caution, language: settings.language, sources: workspace, name };
  const json = jsonPrintout({ version, name });
  const tally = new Tally();
  const kept = new Map<FolderEntry, Readonly<Record<keyof FolderTexts, SpoolRange>>>();
  const listed: SpoolRange[] = [];
  const found = new Map<string, number>();
  const spool = await Spool.open();
  const progress = progressOf(source.count);
  try {
    let read = 0;
    for await (const uri of source.uris) {
      const plan = workspace.plan(uri);
      progress.step();
      if (!plan) continue;
      read++;
      const findings = check(workspace, uri, settings);
      // A part of a page has one entry for each file.
      found.set(uri, format === 'json' ? findings.length : 1);
      if (format === 'json') {
        tally.add(findings);
        const part = json.part({ uri, findings }, workspace);
        if (part !== '') listed.push(await spool.put(part));
        continue;
      }
      const { entry, texts } = folderEntry({ plan, findings }, print);
      kept.set(entry, {
        acceptances: await spool.put(texts.acceptances),
        details: await spool.put(texts.details),
      });
    }
    // On a terminal the print itself takes the place of the progress; a file is written aside first.
    if (output.path === undefined) progress.end();
    const unread = source.trouble;
    const title = paths.length === 1 ? basename(resolve(paths[0]!)) : localizeOutput(filesText(read));
    const { part } = source;
    const record = shard && part && { ...shard, ...part, today, findings: found };
    const whole = async function* (): AsyncGenerator<string> {
      if (record && format === 'html') {
        const head = {
          tool: { name: 'plugward', version },
          format: 1,
          shard: shownShard(record, name),
          review: {
            title: paths.length === 1 ? title : null,
            only: only.length > 0 ? only : null,
            language: settings.language ?? null,
          },
          unread: unread.map(({ uri, reason }) => ({ file: name(uri), reason })),
        };
        yield jsonText(head, 0).replace(/\}$/, ',"entries":[');
        let comma = '';
        for (const [entry, { acceptances, details }] of kept) {
          const texts = { acceptances: await spool.get(acceptances), details: await spool.get(details) };
          yield `${comma}\n${jsonText({ entry, texts }, 0)}`;
          comma = ',';
        }
        yield '\n]}\n';
        return;
      }
      if (format === 'json') {
        const counts = { ...tally.counts, unread: unread.length };
        // A character that JSON always escapes marks where the parts go.
        const gap = listed.length > 0 ? [{ uri: '', part: '\u0000' }] : [];
        const [start = '', end = ''] = json
          .whole(gap, { counts, unread, exitCode: 0, shard: record })
          .split('\u0000');
        yield start;
        for (const [i, place] of listed.entries()) yield (i > 0 ? ',' : '') + (await spool.get(place));
        yield end;
        return;
      }
      const folder = { name: title, entries: [...kept.keys()], unread, ...(only.length > 0 && { only }) };
      for (const piece of folderPage(folder, print)) {
        yield typeof piece === 'string' ? piece : await spool.get(kept.get(piece.entry)![piece.text]);
      }
    };
    // A part may have no file of its own, and is a part all the same.
    const written =
      (read > 0 || shard !== undefined) && (await writePieces(output, whole(), source.inputs()));
    progress.end();
    for (const { uri, reason } of unread) printError(say`${printable(name(uri))} was not read: ${reason}.`);
    return written && unread.length === 0 ? 0 : 2;
  } finally {
    progress.end();
    await spool.close();
  }
}
