import { fastFlatMap } from '../../../base/collections.ts';
import { removeItem } from '../../../document/edits.ts';
import type { AnyNode } from '../../../document/node.ts';
import { memoByIdentity } from '../../../incremental/memo.ts';
import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import type { Plan } from '../../../plan/plan.ts';
import { sectionIn } from '../../../plan/snapshot.ts';
import type { SymbolOccurrence, SymbolKind } from '../../../plan/symbols.ts';
import type { FindingRule, CheckContext } from '../../finding.ts';
import { fix } from '../../support/mending.ts';

export const unusedId: FindingRule = {
  id: 'unused-id',
  title: say`A name that nothing uses`,
  severity: 'information',
  page: () => ({
    means: say`A plan defines a connector that no step handles or comes near, a zone that nothing mentions, or a source that no line refers to and nobody has dated; or a procedure has a parameter that no step uses. Entries of connector lists and rate sheets are there for other files and are never reported as unused.`,
    why: say`A name that is defined and not used is often the one that was meant where another is written.`,
    whatToDo: say`Use it where it was meant, or take it out. Leave a connector in that the vehicle has: what is not described is not warned of.`,
    source: say`Rule of the plan language.`,
    example: {
      wrong: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, maker-cover: dummy-plug }
  - { id: cooling-pump, class: low-voltage, zone: front-left }
operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
`,
      right: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, maker-cover: dummy-plug }
  - { id: cooling-pump, class: low-voltage, zone: front-left }
operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op40, do: mask, zone: front-left }
`,
    },
  }),
  kinds: ['repair-plan', 'shop-procedure'],
  ground: 'order',
  tag: 'unused',
  *check(subject) {
    const { plan } = subject;
    const parts = plan.scope.mentionGroups.flat();
    for (const mention of fastFlatMap(parts, (part) => checked(part))) {
      const { kind, id, span } = mention;
      const rule = rules[kind]!;
      if (plan.kind !== rule.definedIn || rule.used?.(subject, mention)) continue;
      if (parts.some((part) => referredTo(part).get(kind)?.has(id))) continue;
      yield {
        at: span,
        ...(kind === 'connector' ? { connector: id } : {}),
        message: rule.message(id),
        fixes: () => {
          // Without a connector nothing warns of it any more when somebody works there.
          if (kind === 'connector') return [];
          const entry = entryOf(plan, rule.section, mention);
          const out = entry && fix(say`Take ${id} out`, removeItem(plan.document, rule.section, entry));
          // A step of the procedure may be meant to take it, such as a wait its time.
          return [out && { ...out, choice: kind === 'parameter' }];
        },
      };
    }
  },
};

/** The definitions in a part of a group that something has to use. */
const checked = memoByIdentity((part: readonly SymbolOccurrence[]) =>
  part.filter(({ role, kind }) => role === 'definition' && rules[kind]),
);

/** What a part of a group refers to, by kind. */
const referredTo = memoByIdentity((part: readonly SymbolOccurrence[]) => {
  const names = new Map<SymbolKind, Set<string>>();
  for (const { role, kind, id } of part) {
    if (role !== 'reference' || !rules[kind]) continue;
    const known = names.get(kind);
    if (known) known.add(id);
    else names.set(kind, new Set([id]));
  }
  return names;
});

interface Rule {
  readonly definedIn: Plan['kind'];
  readonly section: string;
  readonly message: (id: string) => Phrase;
  /** Whether it is used in a way that has no occurrence in the text, or its use cannot be determined. */
  readonly used?: (subject: CheckContext, mention: SymbolOccurrence) => boolean;
}

const rules: Partial<Record<SymbolKind, Rule>> = {
  connector: {
    definedIn: 'repair-plan',
    section: 'connectors',
    message: (id) =>
      say`No step handles ${id} or works near it. Was it meant where another connector is named?`,
    used: ({ plan, sequence }, { id }) => {
      const zone = plan.scope.connectors.get(id)?.zone;
      return (
        plan.unknownCalls.length > 0 ||
        (sequence.lives.get(id)?.operations.length ?? 0) > 0 ||
        plan.operations.some(
          ({ zones, connectors, task }) =>
            zones.some((one) => one === zone || (zone !== undefined && plan.scope.zones.adjoin(one, zone))) ||
            task?.reach === 'everywhere' ||
            // Work of which nobody says where it happens.
            (zones.length === 0 && connectors.length === 0 && (task?.raises.length ?? 0) > 0),
        )
      );
    },
  },
  zone: {
    definedIn: 'repair-plan',
    section: 'zones',
    message: (id) => say`Nothing happens in zone ${id}, and no connector is there. Use it, or take it out.`,
    // More neighbours for a zone that other files use.
    used: ({ plan }, { id }) =>
      plan.unknownCalls.length > 0 ||
      plan.operations.some(({ zones }) => zones.includes(id)) ||
      [...plan.scope.connectors.values()].some(({ zone }) => zone === id),
  },
  source: {
    definedIn: 'repair-plan',
    section: 'sources',
    message: (id) =>
      say`No line refers to the source ${id}, and nobody says when it was read. Refer to it, or date it with \`consulted\`.`,
    // A dated source is meaningful in itself: it records what was consulted.
    used: ({ plan }, mention) => {
      const entry = entryOf(plan, 'sources', mention);
      return entry?.kind === 'map' && entry.entry('consulted') !== undefined;
    },
  },
  parameter: {
    definedIn: 'shop-procedure',
    section: 'parameters',
    message: (id) =>
      say`No step uses the parameter ${id}, so what a plan fills in is lost. Write \`$${id}\` where it belongs, or take it out.`,
  },
};

function entryOf({ reading }: Plan, section: string, { span }: SymbolOccurrence): AnyNode | undefined {
  const list = sectionIn(section)(reading);
  if (list?.kind !== 'list') return undefined;
  return (list.items as readonly AnyNode[]).find(
    (item) => item.kind === 'map' && item.entries.some(({ value }) => value.span === span),
  );
}
