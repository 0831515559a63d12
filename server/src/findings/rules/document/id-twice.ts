import { addToGroup } from '../../../base/collections.ts';
import type { Document } from '../../../document/document.ts';
import { say } from '../../../language/phrase.ts';
import type { Plan } from '../../../plan/plan.ts';
import { symbolWords, takenAgain } from '../../../plan/symbols.ts';
import type { SymbolKind } from '../../../plan/symbols.ts';
import type { FindingReport, FindingRule } from '../../finding.ts';
import { everyKind } from '../../finding.ts';

export const idTwice: FindingRule = {
  id: 'id-twice',
  title: say`One id for two things`,
  severity: 'error',
  page: () => ({
    means: say`Two entries of one list carry the same id, or a step follows a procedure that two of the files define.`,
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
  *check({ plan }) {
    const { scope } = plan;
    yield* proceduresTwice(plan);
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

/** Steps that follow a procedure of which two files have steps of their own: once each procedure. */
function* proceduresTwice({ document, steps, scope }: Plan): Generator<FindingReport> {
  const files = new Map<string, Document<'shop-procedure'>[]>();
  for (const used of [document, ...scope.used]) {
    const id =
      used.kind === 'shop-procedure'
        ? (used as Document<'shop-procedure'>).root?.get('procedure')
        : undefined;
    if (id) addToGroup(files, id.value, used as Document<'shop-procedure'>);
  }
  const told = new Set<string>();
  for (const { follows } of steps) {
    const [first, second] = (follows && files.get(follows.value)) ?? [];
    if (!follows || !first || !second || told.has(follows.value)) continue;
    told.add(follows.value);
    const [one, other] = [first, second].map(({ root }) => root!.get('procedure')!.span);
    yield {
      at: follows.span,
      message: say`Two files define the procedure "${follows.value}", only the steps of one of them are taken, and nobody can tell whether that is the one that is meant. Use one of them, or give each an id of its own.`,
      trace: [
        { at: one!, message: say`"${follows.value}" is taken here` },
        { at: other!, message: say`the other: ${follows.value}` },
      ],
    };
  }
}

const kinds = Object.keys(symbolWords) as SymbolKind[];
