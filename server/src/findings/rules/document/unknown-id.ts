import { currentFindingId } from '../../../plan/tables/renamed-findings.ts';
import { addToGroup, fastFlatMap, own } from '../../../base/collections.ts';
import { nearest } from '../../../base/nearest.ts';
import { memoByIdentity } from '../../../incremental/memo.ts';
import { query } from '../../../incremental/query.ts';
import { rangeOf } from '../../../text/span.ts';
import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import { operationsWhere, peopleNamed, SnapshotPlan } from '../../../plan/plan.ts';
import type { Plan } from '../../../plan/plan.ts';
import type { Snapshot, UnresolvedUse } from '../../../plan/snapshot.ts';
import type { Scope } from '../../../plan/scope.ts';
import { symbolWords } from '../../../plan/symbols.ts';
import type { SymbolOccurrence, OccurrenceGroup, SymbolKind } from '../../../plan/symbols.ts';
import type { FindingReport, FindingRule } from '../../finding.ts';
import { everyKind } from '../../finding.ts';
import { alsoAt, andAt } from '../../support/needs.ts';
import { idOfPerson } from '../../support/people.ts';
import { valueSpan } from '../../support/words.ts';

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
  page: () => ({
    means: say`A line refers to a step, connector, zone, consumable, task, source or rate that nothing defines. Or one person is written in two ways (a warning).`,
    why: say`The step that was meant is not the step that is checked, paid or done.`,
    whatToDo: say`Correct the spelling, or define it.`,
    source: say`Rule of the plan language.`,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [invertor-dc] }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
`,
    },
  }),
  kinds: everyKind,
  ground: 'names',
  *check({ plan, findingIds }) {
    const { scope } = plan;
    const lost = unknowable(scope);
    const names = namesIn(plan.reading);
    for (const group of scope.mentionGroups) {
      for (const { kind, id, span } of leadingNowhere(group, names, findingIds)) {
        if (lost.has(kind)) continue;
        const meant = nearest(id, kind === 'finding' ? findingIds : names[kind].keys());
        const place = places[kind];
        // What is written in its place keeps the sign of a parameter: without it, it is a name.
        const to = meant && kind === 'parameter' ? `$${meant}` : meant;
        yield {
          at: span,
          ...(kind === 'connector' ? { connector: id } : {}),
          message: say`There is no ${symbolWords[kind]} "${id}" here. ${meant ? say`Did you mean ${meant}?` : place ? say`Define it ${place}, or correct the name.` : say`Correct the name.`}`,
          fixes: () =>
            to ? [{ title: say`Change to ${to}`, safe: false, edits: [{ ...rangeOf(span), text: to }] }] : [],
        };
      }
    }
    yield* spelledInTwoWays(plan);
  },
};

const withPerson = operationsWhere(({ by }) => by !== undefined);

/** Names under `by` that are another one but for capitals, spaces, hyphens and accents: that of the sheet, else the most frequent. */
function* spelledInTwoWays(plan: Plan): Generator<FindingReport> {
  const right = new Map([...(plan.scope.people?.keys() ?? [])].map((id) => [idOfPerson(id), id]));
  const names = new Set([...right.values(), ...peopleNamed(plan)]);
  if (new Set([...names].map(idOfPerson)).size === names.size) return;
  const bySpelling = new Map<string, Operation[]>();
  for (const step of withPerson(plan)) addToGroup(bySpelling, step.by!.value, step);
  const spellings = [...bySpelling].sort(([, one], [, other]) => other.length - one.length);
  for (const [name, its] of spellings) {
    const meant = right.get(idOfPerson(name));
    if (meant === undefined) right.set(idOfPerson(name), name);
    if (meant === undefined || meant === name) continue;
    const [first, ...others] = its;
    const spans = [...new Set(its.map(({ by }) => by!.span))];
    yield {
      at: valueSpan(plan, first!, first!.by!),
      operation: first!.id,
      severity: 'warning',
      message: say`"${name}" in ${first!.id} and "${meant}" are probably one person, and count as two: whose lock it is and who may do the work is judged wrongly. Write the name in one way.`,
      ...andAt(others),
      trace: alsoAt(others),
      fixes: () =>
        spans.every(({ origin }) => origin.uri === plan.uri)
          ? [
              {
                title: say`Change to ${meant}`,
                safe: false,
                edits: spans.map((span) => ({ ...rangeOf(span), text: meant })),
              },
            ]
          : [],
    };
  }
}

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
