/** The man page, made from the same table as the help. The build writes it; it is English, as `man` asks no program. */
import { version } from '../../../package.json';
import { caution } from '../features/caution.ts';
import { say } from '../language/phrase.ts';
import type { Value } from '../language/phrase.ts';
import { allCommands } from './commands.ts';
import type { NamedCommand } from './command.ts';

/** Text in roff: no line of it is a request, no sign of it an escape, and a hyphen can be copied into a shell. */
const roff = (text: Value): string =>
  String(text)
    .replaceAll('\\', '\\e')
    .replaceAll('-', '\\-')
    .replaceAll(/\s*\n\s*/g, ' ')
    .replace(/^[.']/, (sign) => `\\&${sign}`);

const paragraph = (text: Value): string => `.PP\n${roff(text)}`;
const item = (head: string, text: Value): string => `.TP\n${head}\n${roff(text)}`;
const bold = (text: string): string => `\\fB${roff(text)}\\fR`;
const italic = (text: Value): string => `\\fI${roff(text)}\\fR`;

function section({ name, usage, about, options, examples }: NamedCommand): string {
  const rows = Object.entries(options).map(([long, { type, short, value, help }]) =>
    item(
      `${short === undefined ? '' : `${bold(`-${short}`)}, `}${bold(`--${long}`)}${type === 'string' ? ` ${italic(value ?? say`VALUE`)}` : ''}`,
      help,
    ),
  );
  return [
    `.SS plugward ${name} ${roff(usage)}`,
    ...about.map(paragraph),
    ...rows,
    '.PP\nExamples:',
    ...examples.map(([command, does]) => item(bold(command), does)),
  ].join('\n');
}

/** The page in the macros of man(7). */
export async function manPage(): Promise<string> {
  const commands = await allCommands();
  return [
    `.TH PLUGWARD 1 "" "plugward ${version}" "User Commands"`,
    '.SH NAME\nplugward \\- check repair plans for electrified vehicles',
    `.SH SYNOPSIS\n${bold('plugward')} ${italic(say`COMMAND`)} [${italic('OPTIONS')}] \\&...\n.br\n${bold('plugward help')} [${italic(say`COMMAND`)}]\n.br\n${bold('plugward --version')}`,
    '.SH DESCRIPTION',
    paragraph(
      say`Plugward checks repair plans for electrified vehicles the way a compiler checks a program.`,
    ),
    paragraph(caution),
    '.SH COMMANDS',
    ...commands.map(({ name, summary }) => item(bold(name), summary)),
    ...commands.map(section),
    '',
  ].join('\n');
}
