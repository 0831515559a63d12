import { explain } from '../features/explain.ts';
import { findings } from '../findings/registry.ts';
import { terminalPage } from '../report/listing/page.ts';
import { readArguments, UsageError } from './arguments.ts';
import type { Options } from './arguments.ts';
import type { Command } from './command.ts';
import { knownFinding } from './settings.ts';
import { paintFor, say, widthOf } from './terminal.ts';

const options = {
  'no-color': { type: 'boolean', help: 'no colour (so does the variable NO_COLOR)' },
} as const satisfies Options;

export const command: Command = {
  usage: '[FINDING]',
  about: [
    'Prints the page of a finding: what it means, why it matters, what to do, and where it comes from. Without FINDING, lists them all.',
  ],
  options,
  examples: [['plugward explain bare-connector', 'the page of one finding']],
  run(args) {
    const { values, positionals } = readArguments(options, args);
    const paint = paintFor(process.stdout, values['no-color']);
    const [id, ...others] = positionals;
    if (others.length > 0) throw new UsageError('Name one finding, or none for the list.');
    if (id === undefined) {
      const longest = Math.max(...findings.map((finding) => finding.id.length));
      for (const finding of findings) {
        say(`${paint('strong', finding.id.padEnd(longest))}  ${finding.title}\n`);
      }
    } else {
      say(terminalPage(explain(knownFinding(id)) ?? '', { width: widthOf(process.stdout), paint }));
    }
    return Promise.resolve(0);
  },
};
