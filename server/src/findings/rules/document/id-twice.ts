import { say } from '../../../language/phrase.ts';
import { symbolWords, takenAgain } from '../../../plan/symbols.ts';
import type { SymbolKind } from '../../../plan/symbols.ts';
import type { FindingRule } from '../../finding.ts';
import { everyKind } from '../../finding.ts';

export const idTwice: FindingRule = {
  id: 'id-twice',
  title: say`One id for two things`,
  severity: 'error',
  page: () => ({
    means: say`Two entries of one list carry the same id.`,
    why: say`A line that refers to the id means one of them, and nobody can tell which; only the first is used.`,
    whatToDo: say`Give one of them another id.`,
    source: say`Rule of the plan language.`,
    example: {
      wrong: `operations:
  - { id: op20, do: cut, zone: quarter-left }
  - { id: op20, do: grind, zone: quarter-left }
`,
      right: `operations:
  - { id: op20, do: cut, zone: quarter-left }
  - { id: op30, do: grind, zone: quarter-left }
`,
    },
  }),
  kinds: everyKind,
  ground: 'text',
  *check({ plan: { scope } }) {
    if (!kinds.some((kind) => scope.repeats(kind))) return;
    for (const { mention, first } of scope.mentionGroups.flatMap((group) => takenAgain(group))) {
      yield {
        at: mention.span,
        ...(mention.kind === 'operation' ? { operation: mention.id } : {}),
        message: say`The id "${mention.id}" is already taken by another ${symbolWords[mention.kind]} above. Give this one an id of its own.`,
        trace: [{ at: first.span, message: say`"${mention.id}" is taken here` }],
      };
    }
  },
};

const kinds = Object.keys(symbolWords) as SymbolKind[];
