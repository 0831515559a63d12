import type { Finding } from './finding.ts';
import { everyKind } from './finding.ts';

export const notYaml: Finding = {
  id: 'not-yaml',
  title: 'The text cannot be read as YAML',
  severity: 'error',
  means:
    'A quote, a bracket, the indentation or a tab keeps an entry from being read. The rest of the file is still checked.',
  why: 'What cannot be read cannot be checked.',
  todo: 'Mend the line the message points at.',
  source: 'YAML 1.2.2.',
  kinds: everyKind,
  ground: 'text',
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
  *check({ document }) {
    for (const { kind, span, message } of document.problems)
      if (kind === 'not-yaml') yield { at: span, message };
  },
};
