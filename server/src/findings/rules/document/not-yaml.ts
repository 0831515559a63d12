import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
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
      if (kind === 'not-yaml') yield { at: span, message };
  },
};
