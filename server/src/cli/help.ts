import { say } from '../language/phrase.ts';
import type { Value } from '../language/phrase.ts';
import { caution } from '../features/caution.ts';
import { wrap } from '../report/listing/wrap.ts';
import type { Command } from './command.ts';
import type { Option } from './arguments.ts';
import { localizeOutput } from './terminal.ts';

export type Row = readonly [left: string, right: Value];

function table(rows: readonly Row[], width: number): string {
  const left = Math.min(30, Math.max(...rows.map(([head]) => head.length)));
  return rows
    .map(([head, text]) => {
      const [first = '', ...rest] = wrap(localizeOutput(text), width - left - 4);
      const start = head.length > left ? `  ${head}\n${' '.repeat(left + 4)}` : `  ${head.padEnd(left)}  `;
      return [start + first, ...rest.map((line) => ' '.repeat(left + 4) + line)].join('\n');
    })
    .join('\n');
}

function paragraphs(texts: readonly Value[], width: number): string {
  return texts.map((text) => wrap(localizeOutput(text), width).join('\n')).join('\n\n');
}

function optionRow([name, option]: readonly [string, Option]): Row {
  const short = option.short === undefined ? '' : `-${option.short}, `;
  const value = option.type === 'string' ? ` ${localizeOutput(option.value ?? say`VALUE`)}` : '';
  return [`${short}--${name}${value}`, option.help];
}

/** The help of one sub-command. */
export function helpFor(name: string, command: Command, width: number): string {
  return (
    [
      localizeOutput(say`Usage: plugward ${name} [OPTIONS] ${command.usage}`),
      paragraphs(command.about, width),
      `${localizeOutput(say`Options:`)}\n${table([...Object.entries(command.options).map(optionRow), ['-h, --help', say`print this help`]], width)}`,
      `${localizeOutput(say`Examples:`)}\n${table(command.examples, width)}`,
      '',
    ]
      .join('\n\n')
      .trimEnd() + '\n'
  );
}

/** The help of the whole: what there is, and the caution. */
export function overview(summaries: readonly Row[], width: number): string {
  return (
    [
      paragraphs(
        [say`Plugward checks repair plans for electrified vehicles the way a compiler checks a program.`],
        width,
      ),
      localizeOutput(say`Usage: plugward COMMAND [OPTIONS] …`),
      `${localizeOutput(say`Commands:`)}\n${table(summaries, width)}`,
      table(
        [
          [`plugward help ${localizeOutput(say`COMMAND`)}`, say`help on one command`],
          ['plugward --version', say`the version`],
        ],
        width,
      ),
      paragraphs([caution], width),
    ].join('\n\n') + '\n'
  );
}
