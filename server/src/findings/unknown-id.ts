import { nearest } from '../document/nearest.ts';
import { rangeOf } from '../document/text.ts';
import type { Unresolved } from '../plan/reading.ts';
import type { Scope } from '../plan/scope.ts';
import { symbolWords } from '../plan/symbols.ts';
import type { SymbolKind } from '../plan/symbols.ts';
import type { Finding } from './finding.ts';
import { everyKind } from './finding.ts';

const places: Readonly<Partial<Record<SymbolKind, string>>> = {
  connector: 'under `connectors:` or in a connector list named under `uses:`',
  operation: 'under `operations:`',
  zone: 'under `zones:`',
  source: 'under `sources:`',
  consumable: 'under `consumables:` in a rate sheet named under `uses:`',
  rate: 'under `rates:` in a rate sheet named under `uses:`',
  task: 'under `tasks:` in a rate sheet',
  procedure: 'in a procedure file named under `uses:`',
  parameter: 'under `parameters:`',
};

export const unknownId: Finding = {
  id: 'unknown-id',
  title: 'A name that leads nowhere',
  severity: 'error',
  means:
    'A line refers to an operation, connector, zone, consumable, task, source or rate that nothing defines.',
  why: 'The step that was meant is not the step that is checked, paid or done.',
  todo: 'Correct the spelling, or define it.',
  source: 'Language rule.',
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
  *check({ plan: { scope }, findingIds }) {
    const lost = unknowable(scope);
    const known = new Map<SymbolKind, ReadonlySet<string>>();
    for (const { kind, id, span, role, where } of scope.mentions) {
      if (role === 'definition' || lost.has(kind)) continue;
      // The name of an open choice of tasks is a procedure's too: a labour line may pay a whole procedure.
      const names = known.get(kind) ?? namesOf(scope, kind, findingIds);
      known.set(kind, names);
      if (names.has(id) || (kind === 'task' && where !== 'operations.do' && scope.procedures.has(id)))
        continue;
      if (kind === 'task' && where === 'times.task') continue;
      if (where === 'consumables.fits') continue;
      const meant = nearest(id, names);
      const place = places[kind];
      yield {
        at: span,
        ...(kind === 'connector' ? { connector: id } : {}),
        message: `There is no ${symbolWords[kind]} called "${id}" here. ${meant ? `Did you mean ${meant}?` : place ? `Define it ${place}, or correct the name.` : 'Correct the name.'}`,
        fixes: () =>
          meant
            ? [{ title: `Change to ${meant}`, safe: false, edits: [{ ...rangeOf(span), text: meant }] }]
            : [],
      };
    }
  },
};

function namesOf(scope: Scope, kind: SymbolKind, findingIds: readonly string[]): ReadonlySet<string> {
  if (kind === 'task') return new Set(scope.tasks.keys());
  if (kind === 'zone') return new Set(scope.zones.names);
  if (kind === 'finding') return new Set(findingIds);
  return new Set(scope.names(kind));
}

const providers: Readonly<Partial<Record<NonNullable<Unresolved['kind']>, readonly SymbolKind[]>>> = {
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

/** Kinds of names that a missing file or a broken section may define: about these nothing can be said. */
function unknowable({ unresolved, document, used }: Scope): ReadonlySet<SymbolKind> {
  const lost = new Set<SymbolKind>();
  for (const { kind } of unresolved) for (const one of (kind && providers[kind]) ?? []) lost.add(one);
  for (const file of [document, ...used]) {
    for (const { kind, section } of file.problems) {
      if (kind === 'key-twice') continue;
      const names =
        section === undefined
          ? Object.values(sections).flat()
          : Object.hasOwn(sections, section)
            ? sections[section]!
            : [];
      for (const one of names) lost.add(one);
    }
  }
  return lost;
}
