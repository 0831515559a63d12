import { styleText } from 'node:util';
import { languageOf } from '../language/language.ts';
import type { Language } from '../language/language.ts';
import { inLanguage, say } from '../language/phrase.ts';
import type { Phrase, Value } from '../language/phrase.ts';
import { printable } from '../report/listing/printable.ts';
import type { Paint, TextStyle } from '../report/listing/human.ts';

type Format = Parameters<typeof styleText>[0];

const formats: Readonly<Record<TextStyle, Format>> = {
  error: ['bold', 'red'],
  warning: ['bold', 'yellow'],
  information: ['bold', 'cyan'],
  file: ['bold'],
  quiet: ['dim'],
  good: ['green'],
  strong: ['bold'],
};

/** Colour only on a terminal, unless disabled (`--no-color`, NO_COLOR) or forced (FORCE_COLOR). */
export function coloursOn(stream: NodeJS.WriteStream, refused: boolean): boolean {
  const { NO_COLOR, FORCE_COLOR, TERM } = process.env;
  const wanted = FORCE_COLOR ? FORCE_COLOR !== '0' : stream.isTTY && TERM !== 'dumb';
  return wanted && !refused && !NO_COLOR;
}

/**
 * Whether a terminal may not show signs such as `│`: a Windows console with none of the variables that newer ones set, or a
 * locale without UTF-8. What is written elsewhere is UTF-8.
 */
export function isPlain(stream: { readonly isTTY?: boolean }, platform = process.platform): boolean {
  if (!stream.isTTY) return false;
  const { WT_SESSION, TERM_PROGRAM, TERM, LC_ALL, LC_CTYPE, LANG } = process.env;
  if (platform === 'win32') return !WT_SESSION && !TERM_PROGRAM && !TERM;
  const locale = [LC_ALL, LC_CTYPE, LANG].find(Boolean);
  return TERM === 'dumb' || (locale !== undefined && !/utf-?8/i.test(locale));
}

export const paintIn = (colour: boolean): Paint =>
  colour ? (role, text) => styleText(formats[role], text, { validateStream: false }) : (_, text) => text;

export const paintFor = (stream: NodeJS.WriteStream, refused: boolean): Paint =>
  paintIn(coloursOn(stream, refused));

/** Columns to write in: the terminal's, within what reads well. */
export function widthOf(stream: NodeJS.WriteStream): number {
  const columns = stream.columns || Number(process.env['COLUMNS']) || 80;
  return Math.max(40, Math.min(columns, 110));
}

export function writeOutput(text: string): void {
  process.stdout.write(text);
}

/** The language of this run; English until it is known. */
let spoken: Language | undefined;

/**
 * @param asked the tag that was asked for; without one, the language of the environment by the rule of POSIX: the first that is
 *   set and not empty. Where none is, as on Windows, the system's.
 */
export function setLanguage(asked: string | undefined): void {
  const { LC_ALL, LC_MESSAGES, LANG } = process.env;
  const told = asked ?? [LC_ALL, LC_MESSAGES, LANG].find(Boolean);
  // Of all that says the system's language, plural rules take the least time to load.
  spoken = languageOf(told ?? new Intl.PluralRules().resolvedOptions().locale);
}

/** Tag of the language of this run; undefined for English. */
export const currentLanguageTag = (): string | undefined => spoken?.tag;

/** Something said, in the language of this run. */
export const localizeOutput = (value: Value): string => inLanguage(value, spoken);

/** Writes to standard error, so that standard output holds only the result. */
export function printError(words: Value): void {
  // Names come from the disk and the command line, with whatever they hold.
  const lines = localizeOutput(words).split('\n').map(printable);
  process.stderr.write(`plugward: ${lines.join('\n')}\n`);
}

interface Progress {
  step(): void;
  /** Takes it off the screen before something else is written there; the next step shows it again. */
  clear(): void;
  end(): void;
}

/**
 * Shows on a terminal how far a long run is, and lets Control+C end it between two files, when nothing is
 * half done. If standard error is not a terminal, only errors are printed.
 */
export function progressOf(
  total: number,
  stopped = (done: number): Phrase => say`stopped after ${done} of ${total} files; nothing was written.`,
): Progress {
  const shown = process.stderr.isTTY;
  let done = 0;
  let last = 0;
  const clear = (): void => {
    if (shown) process.stderr.write('\r\u001b[K');
  };
  const stop = (): void => {
    clear();
    printError(stopped(done));
    process.exit(130);
  };
  process.once('SIGINT', stop);
  return {
    step() {
      done++;
      const now = Date.now();
      if (!shown || now - last < 100) return;
      last = now;
      process.stderr.write(`\r${localizeOutput(say`${done} of ${total}`)}`);
    },
    clear,
    end() {
      clear();
      process.removeListener('SIGINT', stop);
    },
  };
}
