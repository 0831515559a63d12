import { removeItem } from '../document/edits.ts';
import type { AnyNode } from '../document/node.ts';
import type { Mention, SymbolKind } from '../plan/symbols.ts';
import type { Finding, Subject } from './finding.ts';
import { fix } from './mending.ts';

export const unusedId: Finding = {
  id: 'unused-id',
  title: 'A name that nothing uses',
  severity: 'information',
  means:
    'A plan defines a connector that no step handles or comes near, a zone that nothing mentions, or a source that no line refers to and nobody has dated; or a procedure has a parameter that no step takes up. Entries of connector lists and rate sheets are there for other files and are never unused.',
  why: 'What is defined and not used is often the one that was meant where another is written.',
  todo: 'Use it where it was meant, or take it out.',
  source: 'Language rule.',
  kinds: ['repair-plan', 'shop-procedure'],
  ground: 'order',
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
  *check(subject) {
    const { plan, document } = subject;
    const { mentions } = plan.scope;
    const used = new Set(
      mentions
        .filter(({ role, kind }) => role === 'reference' && rules[kind])
        .map(({ kind, id }) => `${kind} ${id}`),
    );
    for (const mention of mentions) {
      const { kind, id, span } = mention;
      if (mention.role !== 'definition' || used.has(`${kind} ${id}`)) continue;
      const rule = rules[kind];
      if (!rule || document.kind !== rule.definedIn || rule.used?.(subject, mention)) continue;
      const entry = entryOf(subject, rule.section, mention);
      yield {
        at: span,
        ...(kind === 'connector' ? { connector: id } : {}),
        message: rule.message(id),
        fixes: () => [entry && fix(`Take ${id} out`, removeItem(document, rule.section, entry))],
      };
    }
  },
};

interface Rule {
  readonly definedIn: Subject['document']['kind'];
  readonly section: string;
  readonly message: (id: string) => string;
  /** Whether it is used in a way no mention shows, or nobody can tell. */
  readonly used?: (subject: Subject, mention: Mention) => boolean;
}

const rules: Partial<Record<SymbolKind, Rule>> = {
  connector: {
    definedIn: 'repair-plan',
    section: 'connectors',
    message: (id) => `No step handles ${id} or works near it. Was it meant where another connector is named?`,
    used: ({ plan }, { id }) => {
      const zone = plan.scope.connectors.get(id)?.zone;
      return (
        plan.opaque.length > 0 ||
        plan.operations.some(
          ({ connectors, zones, task }) =>
            connectors.some(({ value }) => value === id) ||
            zones.some((one) => one === zone) ||
            task?.reach === 'everywhere',
        )
      );
    },
  },
  zone: {
    definedIn: 'repair-plan',
    section: 'zones',
    message: (id) =>
      `Nothing happens in the zone ${id}, and no connector sits there. Use it, or take it out.`,
    // More neighbours for a zone that other files use.
    used: ({ plan }, { id }) =>
      plan.opaque.length > 0 ||
      plan.operations.some(({ zones }) => zones.includes(id)) ||
      [...plan.scope.connectors.values()].some(({ zone }) => zone === id),
  },
  source: {
    definedIn: 'repair-plan',
    section: 'sources',
    message: (id) =>
      `No line refers to the source ${id}, and nobody says when it was read. Refer to it, or date it with \`consulted\`.`,
    // A dated source says by itself what was read for this repair.
    used: (subject, mention) => {
      const entry = entryOf(subject, 'sources', mention);
      return entry?.kind === 'map' && entry.entry('consulted') !== undefined;
    },
  },
  parameter: {
    definedIn: 'shop-procedure',
    section: 'parameters',
    message: (id) =>
      `No step takes up the parameter ${id}; what a plan fills in is lost. Write \`$${id}\` where it belongs, or take it out.`,
  },
};

function entryOf({ document }: Subject, section: string, { span }: Mention): AnyNode | undefined {
  const list =
    (document.root as AnyNode | undefined)?.kind === 'map'
      ? (document.root as { entry(key: string): { value: AnyNode } | undefined }).entry(section)?.value
      : undefined;
  if (list?.kind !== 'list') return undefined;
  return (list.items as readonly AnyNode[]).find(
    (item) => item.kind === 'map' && item.entries.some(({ value }) => value.span === span),
  );
}
