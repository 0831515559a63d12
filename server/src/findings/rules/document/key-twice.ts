import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { everyKind } from '../../finding.ts';

export const keyTwice: FindingRule = {
  id: 'key-twice',
  title: say`A key appears twice`,
  severity: 'error',
  page: () => ({
    means: say`One entry, or the file, has the same key two times.`,
    why: say`Only the first is read; the second is silently ignored.`,
    whatToDo: say`Remove one, or merge the two.`,
    source: say`YAML 1.2.2, 3.2.1.3: keys of a mapping are unique.`,
    example: {
      wrong: `operations:
  - { id: op20, do: grind, zone: quarter-left, zone: roof }
`,
      right: `operations:
  - { id: op20, do: grind, zone: [quarter-left, roof] }
`,
    },
  }),
  kinds: everyKind,
  ground: 'text',
  *check({ document }) {
    for (const { kind, span, message } of document.problems)
      if (kind === 'key-twice') yield { at: span, message };
  },
};
