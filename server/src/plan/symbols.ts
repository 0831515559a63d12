import type { Document } from '../document/document.ts';
import type { AnyNode, MapNode } from '../document/node.ts';
import { once } from '../document/once.ts';
import type { Span } from '../document/text.ts';
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';

/** What an id can name. */
export type SymbolKind =
  | 'connector'
  | 'operation'
  | 'zone'
  | 'source'
  | 'consumable'
  | 'rate'
  | 'task'
  | 'procedure'
  | 'parameter'
  | 'finding';

/** A word for each kind of name. */
export const symbolWords: Readonly<Record<SymbolKind, Phrase>> = {
  connector: say`connector`,
  operation: say`operation`,
  zone: say`zone`,
  source: say`source`,
  consumable: say`consumable`,
  rate: say`labour rate`,
  task: say`task`,
  procedure: say`shop procedure`,
  parameter: say`parameter`,
  finding: say`finding`,
};

/** One place where an id stands, as a definition or as a reference. */
export interface Mention {
  readonly kind: SymbolKind;
  readonly id: string;
  readonly span: Span;
  readonly role: 'definition' | 'reference';
  /** The keys that lead there, for messages: `operations.after`. */
  readonly where: string;
}

/**
 * The mentions under one top-level key, by entry of its list. The same object as long as the section says the same; a
 * part of it as long as its entry does.
 */
export type MentionGroup = readonly (readonly Mention[])[];

type Rule = readonly [path: string, kind: SymbolKind, role: Mention['role']];

const operation: readonly Rule[] = [
  ['id', 'operation', 'definition'],
  ['do', 'task', 'reference'],
  ['follow', 'procedure', 'reference'],
  ['connectors', 'connector', 'reference'],
  ['using', 'consumable', 'reference'],
  ['zone', 'zone', 'reference'],
  ['after', 'operation', 'reference'],
];
const connector: readonly Rule[] = [
  ['zone', 'zone', 'reference'],
  ['source', 'source', 'reference'],
];
const zone: readonly Rule[] = [
  ['id', 'zone', 'definition'],
  ['beside', 'zone', 'reference'],
];
const under = (list: string, rules: readonly Rule[]): Rule[] =>
  rules.map(([path, kind, role]) => [`${list}.${path}`, kind, role]);

const shared: readonly Rule[] = [['sources.id', 'source', 'definition'], ...under('zones', zone)];

/** Where ids stand in each kind of document. A plan's connector entry is a definition, or a refinement of a list's. */
const rules: Readonly<Record<Document['kind'], readonly Rule[]>> = {
  'repair-plan': [
    ...shared,
    ['connectors.id', 'connector', 'definition'],
    ...under('connectors', connector),
    ...under('operations', operation),
    ['vehicle.bake-limit.source', 'source', 'reference'],
    ['labour.for', 'operation', 'reference'],
    ['labour.task', 'task', 'reference'],
    ['labour.rate', 'rate', 'reference'],
    ['labour.reference', 'source', 'reference'],
    ['materials.for', 'operation', 'reference'],
    ['materials.item', 'consumable', 'reference'],
    ['materials.reference', 'source', 'reference'],
    ['measurements.connector', 'connector', 'reference'],
    ['measurements.after', 'operation', 'reference'],
    ['evidence.for', 'operation', 'reference'],
    ['accepted.finding', 'finding', 'reference'],
  ],
  'shop-procedure': [
    ...shared,
    ['procedure', 'procedure', 'definition'],
    ['parameters.name', 'parameter', 'definition'],
    ...under('operations', operation),
  ],
  'connector-list': [
    ...shared,
    ['connectors.id', 'connector', 'definition'],
    ...under('connectors', connector),
  ],
  'rate-sheet': [
    ...shared,
    ['rates.id', 'rate', 'definition'],
    ['times.task', 'task', 'reference'],
    ['times.rate', 'rate', 'reference'],
    ['times.reference', 'source', 'reference'],
    ['consumables.id', 'consumable', 'definition'],
    ['consumables.fits', 'connector', 'reference'],
    ['tasks.id', 'task', 'definition'],
    ['plugward.photos', 'task', 'reference'],
  ],
};

/** What an id names at a place such as `operations.after`, and whether it is defined there. */
export function symbolAt(
  kind: Document['kind'],
  where: string,
): { readonly kind: SymbolKind; readonly role: Mention['role'] } | undefined {
  const rule = rules[kind].find(([path]) => path === where);
  return rule && { kind: rule[1], role: rule[2] };
}

/** The rules of each kind by top-level key, with the path below it. */
const rulesBySection = new Map(
  Object.entries(rules).map(([kind, list]) => {
    const sections = new Map<string, [below: string[], ...rule: Rule][]>();
    for (const rule of list) {
      const [section, ...below] = rule[0].split('.') as [string, ...string[]];
      sections.set(section, [...(sections.get(section) ?? []), [below, ...rule]]);
    }
    return [kind, sections] as const;
  }),
);

/**
 * Every mention of an id in a document, in the order of the text, by top-level key. A `$name` in a procedure mentions a
 * parameter.
 */
export const mentionGroups = ({ root, kind }: Document): MentionGroup[] =>
  ((root as MapNode<Record<string, unknown>> | undefined)?.entries ?? []).map(({ key, value }) =>
    mentionsUnder(value, kind, key),
  );

/** The same, of the keys under which a kind of name is defined. */
export const definitionGroups = ({ root, kind }: Document, defined: SymbolKind): MentionGroup[] =>
  [...(rulesBySection.get(kind) ?? [])].flatMap(([key, list]) => {
    const defines = list.some(([, , names, role]) => names === defined && role === 'definition');
    const value = defines
      ? (root as MapNode<Record<string, unknown>> | undefined)?.entry(key)?.value
      : undefined;
    return value ? [mentionsUnder(value, kind, key)] : [];
  });

const mentionsUnder = once((value: AnyNode, kind: Document['kind'], section: string): MentionGroup =>
  (value.kind === 'list' ? (value.items as readonly AnyNode[]) : [value]).map((item) =>
    mentionsIn(item, kind, section),
  ),
);

/** The mentions in one top-level value, or in one item of a top-level list. */
const mentionsIn = once((node: AnyNode, kind: Document['kind'], section: string): readonly Mention[] => {
  const mentions: Mention[] = [];
  const procedure = kind === 'shop-procedure';
  for (const [below, where, names, role] of rulesBySection.get(kind)?.get(section) ?? []) {
    for (const { value, span, bad } of scalarsAt(node, below)) {
      // A misspelt definition is one mistake; what refers to it is not a second.
      if (typeof value !== 'string' || (bad && role === 'reference')) continue;
      if (procedure && value.startsWith('$')) continue;
      mentions.push({ kind: names, id: value, span, role, where });
    }
  }
  for (const { value, span } of procedure && section === 'operations' ? everyScalar(node) : []) {
    if (typeof value !== 'string' || !/^\$[a-z]/.test(value)) continue;
    mentions.push({ kind: 'parameter', id: value.slice(1), span, role: 'reference', where: section });
  }
  return mentions;
});

interface Found {
  readonly value: unknown;
  readonly span: Span;
  readonly bad: boolean;
}

function* scalarsAt(node: AnyNode, path: readonly string[]): Generator<Found> {
  if (node.kind === 'list') {
    for (const item of node.items as readonly AnyNode[]) yield* scalarsAt(item, path);
  } else if (node.kind === 'map') {
    const [head, ...rest] = path;
    const value = head === undefined ? undefined : node.entry(head)?.value;
    if (value) yield* scalarsAt(value, rest);
  } else if (path.length === 0 && node.value !== null) {
    yield node;
  }
}

function* everyScalar(node: AnyNode): Generator<Found> {
  if (node.kind === 'scalar') yield node;
  else if (node.kind === 'list')
    for (const item of node.items as readonly AnyNode[]) yield* everyScalar(item);
  else for (const entry of node.entries) yield* everyScalar(entry.value);
}
