import { parseArgs } from 'node:util';
import { own } from '../base/collections.ts';
import { orList, say } from '../language/phrase.ts';
import type { Phrase, Value } from '../language/phrase.ts';
import { nearest } from '../base/nearest.ts';
import { localeTags } from '../language/language.ts';

/** The command line was not understood; the message says what to write instead. Exit code 2. */
export class UsageError extends Error {
  constructor(readonly words: Phrase) {
    super(String(words));
  }
}

/** What follows a name that does not exist. */
export const didYouMean = (guess: string | undefined): Value =>
  guess === undefined ? '' : say` Did you mean ${guess}?`;

export interface Option {
  readonly type: 'boolean' | 'string';
  readonly short?: string;
  /** May be given several times. */
  readonly multiple?: true;
  /** What the help shows for the value. */
  readonly value?: Value;
  /** The only values there are. */
  readonly choices?: readonly string[];
  /** What a shell completes where there are no choices; nothing, unless stated. */
  readonly completes?: 'files' | 'findings' | 'severities';
  readonly help: Phrase;
}

export type Options = Readonly<Record<string, Option>>;

/** Options shared by all commands with human-readable output. */
export const speakingOptions = {
  language: {
    type: 'string',
    value: say`LANGUAGE`,
    choices: localeTags,
    help: say`${orList(localeTags)} (default: as LC_ALL, LC_MESSAGES or LANG say, else as the system does)`,
  },
  'no-color': { type: 'boolean', help: say`no colour (the variable NO_COLOR does the same)` },
} as const satisfies Options;

/** The language requested on the command line, determined before anything else is parsed. */
export function languageIn(args: readonly string[]): string | undefined {
  const before = args.includes('--') ? args.slice(0, args.indexOf('--')) : args;
  const at = before.findLastIndex((one) => /^--language(=|$)/.test(one));
  return at < 0 ? undefined : (before[at]!.split('=')[1] ?? before[at + 1]);
}

/** The command line without `--language` and its value, for commands that take no options of their own. */
export function withoutLanguage(args: readonly string[]): string[] {
  return args.filter((one, at) => !/^--language(=|$)/.test(one) && args[at - 1] !== '--language');
}

/** What `check` and `fix` share. */
export const checkingOptions = {
  severity: {
    type: 'string',
    multiple: true,
    value: say`FINDING=LEVEL`,
    completes: 'severities',
    help: say`set the severity of a finding: error, warning, information or off; may be repeated`,
  },
  today: { type: 'string', value: say`DATE`, help: say`check as of this date, YYYY-MM-DD (default: today)` },
  'stdin-filename': {
    type: 'string',
    value: say`FILE`,
    completes: 'files',
    help: say`file name to assume for text from '-': it sets the kind of document, and the folder that \`uses:\` paths start from`,
  },
  ...speakingOptions,
} as const satisfies Options;

/** For commands that deal with many files side by side. */
export const jobsOption = {
  jobs: {
    type: 'string',
    value: 'N',
    help: say`work in up to N threads, where there are many files (default: one per processor core, at most 8)`,
  },
} as const satisfies Options;

/** An option with a value, as it stands on the command line. */
export interface GivenOption {
  readonly name: string;
  readonly value: string;
}

export type Values<O extends Options> = {
  [K in keyof O]: O[K]['type'] extends 'boolean'
    ? boolean
    : O[K] extends { multiple: true }
      ? readonly string[]
      : (O[K] extends { choices: readonly (infer C)[] } ? C : string) | undefined;
};

/**
 * Reads the arguments of a sub-command.
 * @returns beside the values: all options with a value in their order, for those whose order counts
 * @throws UsageError for an option that does not exist, a value that is missing or is none of the choices.
 */
export function readArguments<O extends Options>(
  options: O,
  args: readonly string[],
): { values: Values<O>; positionals: string[]; given: readonly GivenOption[] } {
  const { tokens, positionals } = parseArgs({
    args: [...args],
    options: Object.fromEntries(
      Object.entries(options).map(([name, { type, short }]) => [name, { type, ...(short && { short }) }]),
    ),
    // Not strict: we report errors ourselves.
    strict: false,
    allowPositionals: true,
    tokens: true,
  });
  const values = new Map<string, boolean | string | readonly string[] | undefined>();
  for (const [name, option] of Object.entries(options)) {
    values.set(name, option.type === 'boolean' ? false : option.multiple ? [] : undefined);
  }
  const given: GivenOption[] = [];
  for (const token of tokens) {
    if (token.kind !== 'option') continue;
    const option = own<Option>(options, token.name);
    if (!option) {
      const guess = nearest(token.name, Object.keys(options));
      throw new UsageError(say`There is no option ${token.rawName}.${didYouMean(guess && `--${guess}`)}`);
    }
    if (option.type === 'boolean') {
      if (token.value !== undefined) throw new UsageError(say`${token.rawName} takes no value.`);
      values.set(token.name, true);
      continue;
    }
    const value = token.value;
    if (value === undefined || (!token.inlineValue && value.startsWith('-') && value !== '-')) {
      throw new UsageError(
        say`${token.rawName} needs a value: ${token.rawName} ${option.value ?? say`VALUE`}.`,
      );
    }
    if (option.choices && !option.choices.includes(value)) {
      throw new UsageError(say`${token.rawName} is ${orList(option.choices)}, not '${value}'.`);
    }
    given.push({ name: token.name, value });
    const earlier = values.get(token.name);
    values.set(token.name, Array.isArray(earlier) ? [...(earlier as string[]), value] : value);
  }
  return { values: Object.fromEntries(values) as Values<O>, positionals, given };
}

/** @throws UsageError unless `value` is a date that exists, as YYYY-MM-DD. */
export function readDate(option: string, value: string): string {
  const time = /^\d{4}-\d{2}-\d{2}$/.test(value) ? new Date(`${value}T00:00:00Z`) : undefined;
  if (!time || Number.isNaN(time.getTime()) || time.toISOString().slice(0, 10) !== value) {
    throw new UsageError(say`${option} needs a date as YYYY-MM-DD, such as 2027-02-03, not '${value}'.`);
  }
  return value;
}

/** @throws UsageError unless `value` is a whole number, 0 or more. */
export function readCount(option: string, value: string): number {
  if (!/^\d{1,9}$/.test(value)) {
    throw new UsageError(say`${option} needs a whole number, 0 or more, not '${value}'.`);
  }
  return Number(value);
}

/**
 * Threads to work in at most; undefined where the command line does not say.
 * @throws UsageError unless it is a whole number from 1 to 64.
 */
export function jobsOf(value: string | undefined): number | undefined {
  if (value === undefined) return undefined;
  const jobs = readCount('--jobs', value);
  if (jobs < 1 || jobs > 64) throw new UsageError(say`--jobs needs a number from 1 to 64, not '${value}'.`);
  return jobs;
}
