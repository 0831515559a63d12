import type { Document } from '../../../document/document.ts';
import { rangeOf } from '../../../text/span.ts';
import type { Span } from '../../../text/span.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule, Fix } from '../../finding.ts';
import { everyKind } from '../../finding.ts';

export const notYaml: FindingRule = {
  id: 'not-yaml',
  title: say`The text cannot be read as YAML`,
  severity: 'error',
  page: () => ({
    means: say`A quote, a bracket, a tab, a dash too many or a wrong indentation keeps an entry from being read. The rest of the file is still checked.`,
    why: say`What cannot be read cannot be checked.`,
    whatToDo: say`Fix the line the message points at.`,
    source: say`YAML 1.2.2.`,
    example: {
      wrong: `operations:
  - { id: op20, do: grind, zone: quarter-left
  - { id: op30, do: sand, zone: quarter-left }
`,
      right: `operations:
  - { id: op20, do: grind, zone: quarter-left }
  - { id: op30, do: sand, zone: quarter-left }
`,
    },
  }),
  kinds: everyKind,
  ground: 'text',
  *check({ document }) {
    for (const { kind, span, message } of document.problems)
      if (kind === 'not-yaml') yield { at: span, message, fixes: () => [withoutTabs(document, span)] };
  },
};

/** How many spaces may be meant by a tab. */
const widths = [2, 4, 8];

/**
 * Replaces the tab that keeps a line from being read, and those with which other lines begin: behind spaces a tab may belong to
 * a text. What a tab stands for is only to be guessed.
 */
function withoutTabs(document: Document, span: Span): Fix[] {
  const { uri, start } = rangeOf(span);
  const indents = [...document.text.matchAll(/^ *\t[ \t]*(?=\S)/gm)];
  const own = indents.find(({ index, 0: indent }) => index <= start && start <= index + indent.length);
  if (!own) return [];
  const replaced = indents.filter((one) => one === own || one[0].startsWith('\t'));
  return widths.map((width) => ({
    title: say`Replace the tabs that indent by spaces`,
    safe: true,
    choice: true,
    edits: replaced.map(({ index, 0: indent }) => ({
      uri,
      start: index,
      end: index + indent.length,
      text: indent.replaceAll('\t', ' '.repeat(width)),
    })),
  }));
}
