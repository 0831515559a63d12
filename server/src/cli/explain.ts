import { say } from '../language/phrase.ts';
import { version } from '../../../package.json';
import { caution } from '../features/caution.ts';
import { explain, explained } from '../features/explain.ts';
import { localize } from '../features/in-words.ts';
import { findingIds, findings } from '../findings/registry.ts';
import { jsonText } from '../report/listing/json-text.ts';
import { terminalPage } from '../report/listing/page.ts';
import { readArguments, speakingOptions, UsageError } from './arguments.ts';
import type { Options } from './arguments.ts';
import type { Command } from './command.ts';
import { requireFinding } from './settings.ts';
import { paintFor, writeOutput, currentLanguageTag, localizeOutput, widthOf } from './terminal.ts';

const options = {
  format: {
    type: 'string',
    value: say`FORMAT`,
    choices: ['human', 'json'],
    help: say`human (the default); json, with the parts of the page by themselves`,
  },
  ...speakingOptions,
} as const satisfies Options;

export const command: Command = {
  usage: say`[FINDING]`,
  about: [
    say`Prints the page of a finding: what it means, why it matters, what to do, and where it comes from. Without FINDING, lists them all.`,
  ],
  options,
  completes: { first: findingIds, files: false },
  examples: [['plugward explain bare-connector', say`the page of one finding`]],
  run(args) {
    const { values, positionals } = readArguments(options, args);
    const paint = paintFor(process.stdout, values['no-color']);
    const language = currentLanguageTag();
    const settings = language === undefined ? {} : { language };
    const [id, ...others] = positionals;
    if (others.length > 0) throw new UsageError(say`Name one finding, or none for the list.`);
    if (values.format === 'json') {
      const wanted = id === undefined ? undefined : requireFinding(id);
      const found = { caution: localize(caution, settings), findings: explained(wanted, settings) };
      writeOutput(`${jsonText({ tool: { name: 'plugward', version }, format: 1, ...found })}\n`);
    } else if (id === undefined) {
      const longest = Math.max(...findings.map((finding) => finding.id.length));
      for (const finding of findings) {
        writeOutput(`${paint('strong', finding.id.padEnd(longest))}  ${localizeOutput(finding.title)}\n`);
      }
    } else {
      writeOutput(
        terminalPage(explain(requireFinding(id), settings) ?? '', { width: widthOf(process.stdout), paint }),
      );
    }
    return Promise.resolve(0);
  },
};
