import { joined, say } from '../language/phrase.ts';
import { version } from '../../../package.json';
import { nearest } from '../base/nearest.ts';
import { heatTable } from '../features/heat-table.ts';
import { estimateConnectorHeat } from '../heat/connector-heat.ts';
import { stacked } from '../report/pictures/picture-parts.ts';
import { picturesOf } from '../report/pictures/pictures.ts';
import type { Plan } from '../plan/plan.ts';
import type { Connector } from '../plan/scope.ts';
import { terminalPage } from '../report/listing/page.ts';
import { printable } from '../report/listing/printable.ts';
import { heatJson } from '../report/print/heat-data.ts';
import { didYouMean, readArguments, speakingOptions, UsageError } from './arguments.ts';
import type { Options } from './arguments.ts';
import type { Command } from './command.ts';
import { loadDocuments, inputsOf } from './gather.ts';
import { outputOptions, readOutput, write } from './output.ts';
import { printError, paintFor, localizeOutput, widthOf } from './terminal.ts';

const options = {
  connector: {
    type: 'string',
    short: 'c',
    value: 'ID',
    help: say`the connector (default: all that state a current)`,
  },
  format: {
    type: 'string',
    value: say`FORMAT`,
    choices: ['human', 'json', 'svg'],
    help: say`human (the default), a table; json; svg, the pictures`,
  },
  ...outputOptions,
  ...speakingOptions,
} as const satisfies Options;

export const command: Command = {
  usage: 'PLAN',
  about: [
    say`Estimates the heat of power connectors from what a plan and its connector lists say: as new, at the limit, as measured, and with dirt in the contact. An estimate for planning, not a measurement.`,
    say`PLAN is a repair plan or a connector list, or '-' for one from standard input.`,
    say`Exit code 0: printed. 2: the command line was not understood, or something could not be read, estimated or written.`,
  ],
  options,
  completes: { files: true },
  examples: [
    ['plugward heat HL-0147.repair-plan.yaml --connector inverter-dc', say`the table of one connector`],
    [
      'plugward heat HL-0147.repair-plan.yaml -c inverter-dc --format svg -o heat.svg',
      say`heat against resistance, and temperature against time`,
    ],
  ],
  async run(args) {
    const { values, positionals } = readArguments(options, args);
    const format = values.format ?? 'human';
    if (positionals.length !== 1) throw new UsageError(say`Name one plan: plugward heat PLAN.`);
    const output = await readOutput(values);
    const gathered = await loadDocuments(positionals, undefined, process.cwd());
    const { workspace, asked, trouble, name } = gathered;
    for (const { uri, reason } of trouble) printError(say`${printable(name(uri))} was not read: ${reason}.`);
    if (asked.length === 0) return 2;
    const { uri } = asked[0]!;
    const plan = workspace.plan(uri);
    if (asked.length > 1 || !plan)
      throw new UsageError(say`Name one plan, not a folder: plugward heat PLAN.`);
    const connectors = connectorsOf(plan, values.connector, printable(name(uri)));
    const paint = paintFor(process.stdout, values['no-color'] || output.path !== undefined);
    const text = {
      human: () =>
        connectors
          .map((connector) =>
            terminalPage(localizeOutput(heatTable(plan, connector, 'full')), {
              width: widthOf(process.stdout),
              paint,
            }),
          )
          .join('\n'),
      json: () => heatJson(plan, connectors, { version }),
      svg: () => pictureOf(plan, connectors),
    }[format]();
    return (await write(output, text, inputsOf(gathered))) && trouble.length === 0 ? 0 : 2;
  },
};

/** @throws UsageError when there is no such connector, or none with a current. */
function connectorsOf(plan: Plan, id: string | undefined, file: string): Connector[] {
  const { connectors } = plan.scope;
  if (id === undefined) {
    const warm = [...connectors.values()].filter(
      ({ current }) => current.steady ?? current.peak ?? current.dutyCycle,
    );
    if (warm.length === 0) throw new UsageError(say`No connector of ${file} states a current.`);
    return warm;
  }
  const named = connectors.get(id);
  if (named) return [named];
  const guess = nearest(id, [...connectors.keys()]);
  throw new UsageError(say`${file} knows no connector '${printable(id)}'.${didYouMean(guess)}`);
}

/** The pictures of all of them below each other. @throws UsageError when there is nothing to draw. */
function pictureOf(plan: Plan, connectors: readonly Connector[]): string {
  const picture = stacked(
    connectors.flatMap((connector) => picturesOf(estimateConnectorHeat(plan, connector), connector.id)),
  );
  if (picture === undefined) {
    throw new UsageError(
      say`There is nothing to draw for ${joined(
        connectors.map(({ id }) => id),
        ', ',
      )}: a picture needs a current and a resistance.`,
    );
  }
  return `${localizeOutput(picture)}\n`;
}
