import { buffer } from 'node:stream/consumers';
import { createTwoFilesPatch } from 'diff';
import { filesText } from '../report/listing/human.ts';
import type { Paint } from '../report/listing/human.ts';
import { languageOf } from '../language/language.ts';
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import { printable } from '../report/listing/printable.ts';
import { checkingOptions, jobsOf, jobsOption, readArguments, UsageError } from './arguments.ts';
import type { Options } from './arguments.ts';
import type { Command } from './command.ts';
import { decode, encode, liesIn, replace } from './files.ts';
import { fixerOf } from './fix-batch.ts';
import type { Fixed, FixResult } from './fix-batch.ts';
import { FileError, reasonOf } from './reasons.ts';
import { foldersOf, inputUriOf, namesFor, readDocumentFile } from './gather.ts';
import { requireFinding, settingsOf } from './settings.ts';
import { findTargets, kindByPath, uriOf } from './targets.ts';
import type { FileFailure } from './targets.ts';
import { printError, paintFor, progressOf, writeOutput } from './terminal.ts';
import { inThreads } from './threads.ts';

const options = {
  'unsafe-fixes': {
    type: 'boolean',
    help: say`also apply fixes that change the order of work or the bill: steps, labour and material lines`,
  },
  only: { type: 'string', value: say`FINDING`, completes: 'findings', help: say`fix this finding only` },
  diff: { type: 'boolean', help: say`print what would change as a unified diff; write nothing` },
  'dry-run': { type: 'boolean', help: say`say how much would be fixed; write nothing` },
  ...checkingOptions,
  ...jobsOption,
  quiet: { type: 'boolean', short: 'q', help: say`print nothing but errors` },
} as const satisfies Options;

export const command: Command = {
  usage: say`[PATHS…]`,
  about: [
    say`Fixes what has one right answer, such as typing mistakes. Changes to the order of work or the bill are made with --unsafe-fixes only; look at them with --diff first.`,
    say`PATHS are as for check. Text from standard input is fixed and written to standard output. Nothing else changes; comments, order and line endings stay. A link that leads out of the given paths is not followed, and a file that changed in the meantime is left alone.`,
    say`Exit code 0: done. 1: with --diff or --dry-run, something would change. 2: the command line was not understood, or something could not be read or written.`,
  ],
  options,
  completes: { files: true },
  examples: [
    ['plugward fix --diff --unsafe-fixes plans', say`see everything that can be fixed`],
    ['plugward fix --unsafe-fixes --only labour-missing plans', say`insert the missing labour lines`],
  ],
  async run(args) {
    const { values, positionals } = readArguments(options, args);
    const fromInput = positionals.includes('-');
    if (values['stdin-filename'] !== undefined && !fromInput) {
      throw new UsageError(say`--stdin-filename needs the path '-'.`);
    }
    const jobs = jobsOf(values.jobs);
    const settings = settingsOf(values);
    const language = languageOf(settings.language);
    const finding = values.only === undefined ? {} : { finding: requireFinding(values.only) };
    const unsafe = values['unsafe-fixes'];
    const writing = !values.diff && !values['dry-run'];
    const paint = paintFor(process.stdout, values['no-color']);
    // A text or a diff on standard output stays alone there.
    const tell = (words: Phrase): void => {
      if (values.quiet) return;
      if (values.diff || fromInput) process.stderr.write(`${words.in(language)}\n`);
      else writeOutput(`${words.in(language)}\n`);
    };

    const cwd = process.cwd();
    const input = values['stdin-filename'];
    const targets = await findTargets(positionals, cwd);
    const folders = foldersOf(targets, input, cwd);
    const name = namesFor(targets, input, cwd);
    const trouble = new Map(targets.trouble.map((failure) => [failure.uri, failure]));
    const unwritten: FileFailure[] = [];
    let [count, mended, files, more] = [0, 0, 0, 0];

    /** Writes or tells what has become of a file. Whether it is now as it should be. */
    const conclude = async ({ uri, path, change, fixed, hasMore }: Fixed): Promise<boolean> => {
      count++;
      if (hasMore) more++;
      if (!change) return true;
      const { before, text } = change;
      if (values.diff) {
        if (text !== before.text) writeOutput(difference(name(uri), before.text, text, paint));
      } else if (writing && path === undefined) {
        process.stdout.write(encode(text, before));
      } else if (writing) {
        try {
          if (!(await liesIn(path!, folders))) {
            throw new FileError(say`it is a link that leads out of the given paths`);
          }
          await replace(path!, before, text);
        } catch (error) {
          unwritten.push({ uri, reason: reasonOf(error) });
          return false;
        }
      }
      if (text === before.text) return true;
      files += 1;
      mended += fixed;
      if (!values.diff) {
        const shown = printable(name(uri));
        tell(writing ? say`${shown}: ${fixed} fixed` : say`${shown}: ${fixed} would be fixed`);
      }
      return true;
    };
    const total = targets.files.length + (targets.standardInput ? 1 : 0);
    const progress = progressOf(total, (done) =>
      writing
        ? say`stopped after ${done} of ${total} files; each is written as a whole, or as it was.`
        : say`stopped after ${done} of ${total} files; nothing was written.`,
    );
    const settle = async ({ result, unread }: FixResult): Promise<Fixed | undefined> => {
      progress.clear();
      for (const failure of unread) if (!trouble.has(failure.uri)) trouble.set(failure.uri, failure);
      if ('reason' in result) trouble.set(result.uri, result);
      const isDone = !('reason' in result) && (await conclude(result));
      progress.step();
      return isDone ? result : undefined;
    };

    const details = {
      folders: [cwd, ...folders],
      options: { unsafe, ...finding },
      settings,
      changed: [],
    };
    const fixer = fixerOf(targets.files, details);
    const changed: [uri: string, text: string][] = [];
    // The next file is read against what this one is now; so shared files come first, and by themselves.
    const onItsOwn = async (one: Promise<FixResult>): Promise<void> => {
      const done = await settle(await one);
      if (!done?.change) return;
      changed.push([done.uri, done.change.text]);
      fixer.changed(done.uri, done.change.text);
    };
    const inputUri = inputUriOf(input, cwd);
    if (targets.standardInput) {
      const file = await readDocumentFile(inputUri, async () => decode(await buffer(process.stdin)));
      await onItsOwn(
        'reason' in file
          ? Promise.resolve({ result: file, unread: [] })
          : fixer.fixText(inputUri, undefined, file),
      );
    }
    // Standard input replaces the file of the same name.
    const rest = targets.files.filter((path) => !(targets.standardInput && uriOf(path) === inputUri));
    for (const path of rest.filter(isShared)) await onItsOwn(fixer.fix(path));
    const plans = rest.filter((path) => !isShared(path));
    await inOrder(
      (take) =>
        inThreads(
          'fix',
          { files: plans, language: settings.language, details: { ...details, changed } },
          fixer.fix,
          { jobs, take, isLight: () => false },
        ),
      settle,
    );
    progress.end();

    const what = mended === 1 ? say`1 finding` : say`${mended} findings`;
    tell(
      mended === 0 && trouble.size + unwritten.length > 0
        ? say`Nothing was fixed.`
        : mended === 0
          ? unsafe
            ? say`Nothing to fix in ${filesText(count)}.`
            : say`Nothing to fix safely in ${filesText(count)}.`
          : writing
            ? say`${what} in ${filesText(files)} fixed.`
            : say`${what} in ${filesText(files)} would be fixed.`,
    );
    if (more > 0) {
      tell(
        say`With --unsafe-fixes more can be fixed in ${filesText(more)}: it changes the order of work or the bill. See it with --diff.`,
      );
    }
    for (const { uri, reason } of trouble.values())
      printError(say`${printable(name(uri))} was not read: ${reason}.`);
    for (const { uri, reason } of unwritten)
      printError(say`${printable(name(uri))} was not changed: ${reason}.`);
    if (trouble.size + unwritten.length > 0) return 2;
    return !writing && files > 0 ? 1 : 0;
  },
};

/** Whether other files use this one, by its name. */
function isShared(path: string): boolean {
  const kind = kindByPath(path);
  return kind !== undefined && kind !== 'repair-plan';
}

/** Deals with the results of a run one after the other, in their order, while the rest of them is still to come. */
async function inOrder<R>(
  run: (take: (result: R, at: number) => void) => Promise<void>,
  deal: (result: R) => Promise<unknown>,
): Promise<void> {
  const waiting = new Map<number, R>();
  let [first, dealt]: [number, Promise<unknown>] = [0, Promise.resolve()];
  await run((result, at) => {
    waiting.set(at, result);
    for (; waiting.has(first); first++) {
      const next = waiting.get(first)!;
      waiting.delete(first);
      dealt = dealt.then(() => deal(next));
    }
  });
  await dealt;
}

/** A unified diff. In colour it is for reading, so control characters are escaped; plain, it can be applied. */
function difference(name: string, before: string, after: string, paint: Paint): string {
  const patch = createTwoFilesPatch(`a/${name}`, `b/${name}`, before, after, '', '', { context: 3 });
  const body = patch.replace(/^=+\n/, '');
  if (!process.stdout.isTTY) return body;
  return body
    .split('\n')
    .map((line) => {
      const shown = printable(line.replace(/\r$/, ''));
      if (/^(---|\+\+\+) /.test(line)) return paint('strong', shown);
      if (line.startsWith('@@')) return paint('quiet', shown);
      if (line.startsWith('+')) return paint('good', shown);
      if (line.startsWith('-')) return paint('error', shown);
      return shown;
    })
    .join('\n');
}
