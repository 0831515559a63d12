import { createTwoFilesPatch } from 'diff';
import { fixAll } from '../features/fixes.ts';
import { filesText } from '../report/listing/human.ts';
import type { Paint } from '../report/listing/human.ts';
import { languageOf } from '../language/language.ts';
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import { printable } from '../report/listing/printable.ts';
import { checkingOptions, readArguments, UsageError } from './arguments.ts';
import type { Options } from './arguments.ts';
import type { Command } from './command.ts';
import { encode, liesIn, replace } from './files.ts';
import { FileError, reasonOf } from './reasons.ts';
import { loadDocuments } from './gather.ts';
import { requireFinding, settingsOf } from './settings.ts';
import { printError, paintFor, writeOutput } from './terminal.ts';

const options = {
  'unsafe-fixes': {
    type: 'boolean',
    help: say`also apply fixes that change the order of work or the bill: steps, labour and material lines`,
  },
  only: { type: 'string', value: say`FINDING`, completes: 'findings', help: say`fix this finding only` },
  diff: { type: 'boolean', help: say`print what would change as a unified diff; write nothing` },
  'dry-run': { type: 'boolean', help: say`say how much would be fixed; write nothing` },
  ...checkingOptions,
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

    const { workspace, asked, trouble, folders, name } = await loadDocuments(
      positionals,
      values['stdin-filename'],
      process.cwd(),
    );
    const unwritten: { uri: string; reason: string }[] = [];
    let mended = 0;
    let files = 0;
    let more = 0;
    for (const { uri, path, file } of asked) {
      const { text, fixed } = fixAll(workspace, uri, { unsafe, ...finding }, settings);
      if (!unsafe) {
        more += fixAll(workspace, uri, { unsafe: true, ...finding }, settings).fixed - fixed;
      }
      const changed = text !== file.text;
      if (values.diff) {
        if (changed) writeOutput(difference(name(uri), file.text, text, paint));
      } else if (writing && path === undefined) {
        process.stdout.write(encode(text, file));
      } else if (writing && changed) {
        try {
          if (!(await liesIn(path!, folders))) {
            throw new FileError(say`it is a link that leads out of the given paths`);
          }
          await replace(path!, file, text);
        } catch (error) {
          unwritten.push({ uri, reason: reasonOf(error) });
          continue;
        }
      }
      // The next file is read against what this one is now.
      workspace.set(uri, text);
      if (changed) {
        files += 1;
        mended += fixed;
        if (!values.diff) {
          const shown = printable(name(uri));
          tell(writing ? say`${shown}: ${fixed} fixed` : say`${shown}: ${fixed} would be fixed`);
        }
      }
    }

    const what = mended === 1 ? say`1 finding` : say`${mended} findings`;
    tell(
      mended === 0 && trouble.length + unwritten.length > 0
        ? say`Nothing was fixed.`
        : mended === 0
          ? unsafe
            ? say`Nothing to fix in ${filesText(asked.length)}.`
            : say`Nothing to fix safely in ${filesText(asked.length)}.`
          : writing
            ? say`${what} in ${filesText(files)} fixed.`
            : say`${what} in ${filesText(files)} would be fixed.`,
    );
    if (more > 0) {
      tell(
        say`${more} more with --unsafe-fixes: they change the order of work or the bill. See them with --diff.`,
      );
    }
    for (const { uri, reason } of trouble) printError(say`${printable(name(uri))} was not read: ${reason}.`);
    for (const { uri, reason } of unwritten)
      printError(say`${printable(name(uri))} was not changed: ${reason}.`);
    if (trouble.length + unwritten.length > 0) return 2;
    return !writing && files > 0 ? 1 : 0;
  },
};

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
