import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import { version } from '../../../package.json';
import { taskRows, zoneRows } from '../features/tables.ts';
import type { Scope } from '../plan/scope.ts';
import { Workspace } from '../workspace/workspace.ts';
import { printable } from '../report/listing/printable.ts';
import { readArguments, speakingOptions, UsageError } from './arguments.ts';
import type { Options } from './arguments.ts';
import type { Command } from './command.ts';
import { loadDocuments } from './gather.ts';
import { printError, localizeOutput, writeOutput } from './terminal.ts';
import { jsonText } from '../report/listing/json-text.ts';

const options = {
  format: {
    type: 'string',
    value: say`FORMAT`,
    choices: ['human', 'json'],
    help: say`human (the default), a table; json`,
  },
  ...speakingOptions,
} as const satisfies Options;

/** A command that prints a table of the trade, with the rows that a file and the files it uses add. */
const table = (
  about: Phrase,
  examples: Command['examples'],
  rowsOf: (scope: Scope) => {
    readonly json: object;
    readonly heads: readonly Phrase[];
    readonly rows: readonly (readonly string[])[];
  },
): Command => ({
  usage: say`[FILE]`,
  about: [
    about,
    say`FILE is a rate sheet, a connector list or a plan whose own rows, and those of the files it uses, are added; they are marked with *.`,
    say`Exit code 0: printed. 2: the command line was not understood, or something could not be read or written.`,
  ],
  options,
  completes: { files: true },
  examples,
  async run(args) {
    const { values, positionals } = readArguments(options, args);
    if (positionals.length > 1) throw new UsageError(say`Name one file, or none for the built-in table.`);
    const scope = await scopeOf(positionals[0], process.cwd());
    if (!scope) return 2;
    const { json, heads, rows } = rowsOf(scope);
    const text =
      values.format === 'json'
        ? `${jsonText({ tool: { name: 'plugward', version }, format: 1, ...json })}\n`
        : aligned([heads.map((head) => String(localizeOutput(head))), ...rows]);
    writeOutput(text);
    return 0;
  },
});

/** What the names in a file mean, or those of an empty sheet where no file is named. */
export async function scopeOf(file: string | undefined, cwd: string): Promise<Scope | undefined> {
  if (file === undefined) {
    const uri = 'file:///built-in.rate-sheet.yaml';
    const workspace = new Workspace();
    workspace.set(uri, 'rate-sheet: built-in\ncurrency: XXX\n');
    return workspace.plan(uri)?.scope;
  }
  const { workspace, asked, trouble, name } = await loadDocuments([file], undefined, cwd);
  for (const { uri, reason } of trouble) printError(say`${printable(name(uri))} was not read: ${reason}.`);
  return asked.length === 1 ? workspace.plan(asked[0]!.uri)?.scope : undefined;
}

/** Columns, two spaces apart; the last one is not padded. */
function aligned(rows: readonly (readonly string[])[]): string {
  const widths = rows[0]!.map((_, column) => Math.max(...rows.map((row) => row[column]!.length)));
  return rows
    .map((row) =>
      row
        .map((cell, i) => (i === row.length - 1 ? cell : cell.padEnd(widths[i]!)))
        .join('  ')
        .trimEnd(),
    )
    .map((line) => `${line}\n`)
    .join('');
}

export const tasks = table(
  say`Prints the table of tasks: what each raises, and the facts it needs, makes and ends. Some needs hold for some classes of connectors only.`,
  [['plugward tasks harbour-lane.rate-sheet.yaml', say`the built-in tasks with the shop's own`]],
  (scope) => {
    const rows = taskRows(scope);
    return {
      json: { tasks: rows.map(({ doing, ...row }) => ({ ...row, doing: String(doing) })) },
      heads: [say`task`, say`raises`, say`reach`, say`needs`, say`makes`, say`ends`],
      rows: rows.map(({ id, raises, reach, needs, makes, ends, own }) => [
        own ? `${id} *` : id,
        raises.join(' '),
        raises.length > 0 ? reach : '',
        needs.join(' '),
        makes.join(' '),
        ends.join(' '),
      ]),
    };
  },
);

export const zones = table(
  say`Prints the table of zones and what adjoins each; dirt reaches across.`,
  [['plugward zones kestrel.connector-list.yaml', say`the built-in zones with those of the list`]],
  (scope) => {
    const rows = zoneRows(scope);
    return {
      json: { zones: rows },
      heads: [say`zone`, say`adjoining`],
      rows: rows.map(({ id, beside, own }) => [own ? `${id} *` : id, beside.join(' ')]),
    };
  },
);
