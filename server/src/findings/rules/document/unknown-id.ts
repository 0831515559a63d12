import { currentFindingId } from '../../../plan/tables/renamed-findings.ts';
import { fastFlatMap, own } from '../../../base/collections.ts';
import { nearest } from '../../../base/nearest.ts';
import { memoByIdentity } from '../../../incremental/memo.ts';
import { query } from '../../../incremental/query.ts';
import { rangeOf } from '../../../text/span.ts';
import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import { SnapshotPlan } from '../../../plan/plan.ts';
import type { Snapshot, UnresolvedUse } from '../../../plan/snapshot.ts';
import type { Scope } from '../../../plan/scope.ts';
import { symbolWords } from '../../../plan/symbols.ts';
import type { SymbolOccurrence, OccurrenceGroup, SymbolKind } from '../../../plan/symbols.ts';
import type { FindingRule } from '../../finding.ts';
import { everyKind } from '../../finding.ts';

const places: Readonly<Partial<Record<SymbolKind, Phrase>>> = {
  connector: say`under \`connectors:\` or in a connector list named under \`uses:\``,
  operation: say`under \`operations:\``,
  zone: say`under \`zones:\``,
  source: say`under \`sources:\``,
  consumable: say`under \`consumables:\` in a rate sheet named under \`uses:\``,
  rate: say`under \`rates:\` in a rate sheet named under \`uses:\``,
  task: say`under \`tasks:\` in a rate sheet`,
  procedure: say`in a procedure file named under \`uses:\``,
  parameter: say`under \`parameters:\``,
};

export const unknownId: FindingRule = {
  id: 'unknown-id',
  title: say`A name that nothing defines`,
  severity: 'error',
  means: say`A line refers to a step, connector, zone, consumable, task, source or rate that nothing defines.`,
  why: say`The step that was meant is not the step that is checked, paid or done.`,
  whatToDo: say`Correct the spelling, or define it.`,
  source: say`Rule of the plan language.`,
  kinds: everyKind,
  ground: 'names',
  example: {
    wrong: `operations:
  - { id: op20, do: disconnect, connectors: [invertor-dc] }
`,
    right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
`,
  },
  *check({ plan, findingIds }) {
    const { scope } = plan;
    const lost = unknowable(scope);
    const names = namesIn(plan.reading);
    for (const group of scope.mentionGroups) {
      for (const { kind, id, span } of leadingNowhere(group, names, findingIds)) {
        if (lost.has(kind)) continue;
        const meant = nearest(id, kind === 'finding' ? findingIds : names[kind].keys());
        const place = places[kind];
        yield {
          at: span,
          ...(kind === 'connector' ? { connector: id } : {}),
          message: say`There is no ${symbolWords[kind]} "${id}" here. ${meant ? say`Did you mean ${meant}?` : place ? say`Define it ${place}, or correct the name.` : say`Correct the name.`}`,
          fixes: () =>
            meant
              ? [{ title: say`Change to ${meant}`, safe: false, edits: [{ ...rangeOf(span), text: meant }] }]
              : [],
        };
      }
    }
  },
};

/** All that can be named, by kind. */
type Names = Readonly<Record<SymbolKind, Pick<ReadonlySet<string>, 'has' | 'keys'>>>;

const namesIn = query((reading: Snapshot): Names => {
  const { scope } = new SnapshotPlan(reading);
  const defined = Object.keys(symbolWords).map((kind) => [kind, scope.names(kind as SymbolKind)]);
  return {
    ...(Object.fromEntries(defined) as Names),
    task: scope.tasks,
    zone: scope.zones.beside,
  };
});

/** The unresolved references in a group. A chunk is rescanned only when the set of names has changed. */
const leadingNowhere = (
  group: OccurrenceGroup,
  names: Names,
  findingIds: readonly string[],
): SymbolOccurrence[] => fastFlatMap(group, (part) => leadingNowhereIn(part, names, findingIds));

const leadingNowhereIn = memoByIdentity(
  (part: readonly SymbolOccurrence[], names: Names, findingIds: readonly string[]) => {
    const lost: SymbolOccurrence[] = [];
    for (const mention of part) {
      const { kind, id, role, where } = mention;
      if (role === 'definition') continue;
      if (kind === 'finding' ? findingIds.includes(currentFindingId(id)) : names[kind].has(id)) continue;
      if (where === 'consumables.fits' || where === 'times.task') continue;
      // Where a task is expected, a procedure is valid too: a labour line may pay for a whole procedure.
      if (kind === 'task' && where !== 'operations.do' && names.procedure.has(id)) continue;
      lost.push(mention);
    }
    return lost;
  },
);

const providers: Readonly<Partial<Record<NonNullable<UnresolvedUse['kind']>, readonly SymbolKind[]>>> = {
  'rate-sheet': ['consumable', 'rate', 'task', 'zone', 'source'],
  'connector-list': ['connector', 'zone', 'source'],
  'shop-procedure': ['procedure', 'source'],
};
const sections: Readonly<Record<string, readonly SymbolKind[]>> = {
  connectors: ['connector'],
  operations: ['operation'],
  zones: ['zone'],
  sources: ['source'],
  consumables: ['consumable'],
  rates: ['rate'],
  tasks: ['task'],
  parameters: ['parameter'],
  uses: ['connector', 'consumable', 'rate', 'task', 'zone', 'procedure', 'source'],
};

/**
 * Symbol kinds that a missing file or unreadable section might define; unknown names of these kinds are not
 * reported.
 */
function unknowable({ unresolved, document, used }: Scope): ReadonlySet<SymbolKind> {
  const lost = new Set<SymbolKind>();
  for (const { kind } of unresolved)
    for (const symbolKind of (kind && providers[kind]) ?? []) lost.add(symbolKind);
  for (const file of [document, ...used]) {
    for (const { kind, section } of file.problems) {
      if (kind === 'key-twice') continue;
      const names = section === undefined ? Object.values(sections).flat() : (own(sections, section) ?? []);
      for (const symbolKind of names) lost.add(symbolKind);
    }
  }
  return lost;
}
