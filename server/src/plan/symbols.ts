import type { Document } from '../document/document.ts';
import { fastFlatMap, addToGroup } from '../base/collections.ts';
import type { AnyNode, MapNode, ScalarNode } from '../document/node.ts';
import { memoByIdentity } from '../incremental/memo.ts';
import { memoByKey } from '../incremental/query.ts';
import { chunker } from '../incremental/chunks.ts';
import type { Span } from '../text/span.ts';
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
  operation: say`step`,
  zone: say`zone`,
  source: say`source`,
  consumable: say`consumable`,
  rate: say`labour rate`,
  task: say`task`,
  procedure: say`shop procedure`,
  parameter: say`parameter`,
  finding: say`finding`,
};

/** One occurrence of an id: a definition or a reference. */
export interface SymbolOccurrence {
  readonly kind: SymbolKind;
  readonly id: string;
  readonly span: Span;
  readonly role: 'definition' | 'reference';
  /** The keys that lead there, for messages: `operations.after`. */
  readonly where: string;
}

/**
 * The occurrences under one top-level key, in chunks. The array keeps its identity while the section is
 * unchanged, and each chunk while its entries are.
 */
export type OccurrenceGroup = readonly (readonly SymbolOccurrence[])[];

type Rule = readonly [path: string, kind: SymbolKind, role: SymbolOccurrence['role']];

const operation: readonly Rule[] = [
  ['id', 'operation', 'definition'],
  ['do', 'task', 'reference'],
  ['follow', 'procedure', 'reference'],
  ['connectors', 'connector', 'reference'],
  ['using', 'consumable', 'reference'],
  ['zone', 'zone', 'reference'],
  ['after', 'operation', 'reference'],
  ['cable-route', 'source', 'reference'],
  ['battery-distance', 'source', 'reference'],
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

/**
 * The positions of ids in each kind of document. A plan's connector entry is a definition, or a refinement of
 * a list's.
 */
const rules: Readonly<Record<Document['kind'], readonly Rule[]>> = {
  'repair-plan': [
    ...shared,
    ['connectors.id', 'connector', 'definition'],
    ...under('connectors', connector),
    ...under('operations', operation),
    ['vehicle.bake-limit.source', 'source', 'reference'],
    ['vehicle.scan.source', 'source', 'reference'],
    ['vehicle.cable-route', 'source', 'reference'],
    ['vehicle.battery-distance', 'source', 'reference'],
    ['vehicle.battery-zone', 'zone', 'reference'],
    ['vehicle.fuel-zone', 'zone', 'reference'],
    ['vehicle.tank-in-booth', 'source', 'reference'],
    ['labour.for', 'operation', 'reference'],
    ['labour.task', 'task', 'reference'],
    ['labour.rate', 'rate', 'reference'],
    ['labour.reference', 'source', 'reference'],
    ['labour.cites.source', 'source', 'reference'],
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
): { readonly kind: SymbolKind; readonly role: SymbolOccurrence['role'] } | undefined {
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
export const occurrenceGroups = ({ root, kind }: Document): OccurrenceGroup[] =>
  ((root as MapNode<Record<string, unknown>> | undefined)?.entries ?? []).map(({ key, value }) =>
    mentionsUnder(value, kind, key),
  );

/** The top-level keys under which a kind of name is defined. */
const definingKeys = (kind: Document['kind'], defined: SymbolKind): readonly string[] =>
  [...(rulesBySection.get(kind) ?? [])].flatMap(([key, list]) =>
    list.some(([, , names, role]) => names === defined && role === 'definition') ? [key] : [],
  );
const definingKeysOf = memoByKey((kind: Document['kind']) =>
  memoByKey((defined: SymbolKind) => definingKeys(kind, defined)),
);

/** The same, of the keys under which a kind of name is defined. */
export const definitionGroups = ({ root, kind }: Document, defined: SymbolKind): OccurrenceGroup[] =>
  fastFlatMap(definingKeysOf(kind)(defined), (key) => {
    const value = (root as MapNode<Record<string, unknown>> | undefined)?.entry(key)?.value;
    return value ? [mentionsUnder(value, kind, key)] : [];
  });

const mentionsUnder = memoByIdentity(
  (value: AnyNode, kind: Document['kind'], section: string): OccurrenceGroup =>
    value.kind === 'list'
      ? runsOf(value.items as readonly AnyNode[]).map((run) => mentionsInRun(run, kind, section))
      : [mentionsIn(value, kind, section)],
);
const runsOf = chunker<AnyNode>();
const mentionsInRun = memoByIdentity((run: readonly AnyNode[], kind: Document['kind'], section: string) =>
  fastFlatMap(run, (item) => mentionsIn(item, kind, section)),
);

/** The mentions in one top-level value, or in one item of a top-level list. */
export const mentionsIn = memoByIdentity(
  (node: AnyNode, kind: Document['kind'], section: string): readonly SymbolOccurrence[] => {
    const mentions: SymbolOccurrence[] = [];
    const procedure = kind === 'shop-procedure';
    for (const [below, where, names, role] of rulesBySection.get(kind)?.get(section) ?? []) {
      eachScalarAt(node, below, 0, ({ value, span, rejectedBySchema }) => {
        // Keep a rejected definition, so that references to it are not reported too.
        if (typeof value !== 'string' || (rejectedBySchema && role === 'reference')) return;
        if (procedure && value.startsWith('$')) return;
        mentions.push({ kind: names, id: value, span, role, where });
      });
    }
    if (procedure && section === 'operations') {
      eachScalar(node, ({ value, span }) => {
        if (typeof value !== 'string' || !/^\$[a-z]/.test(value)) return;
        mentions.push({ kind: 'parameter', id: value.slice(1), span, role: 'reference', where: section });
      });
    }
    return mentions.slice();
  },
);

/** The definitions in a part of a group, by kind. */
export const definedIn = memoByIdentity(
  (part: readonly SymbolOccurrence[]): ReadonlyMap<SymbolKind, readonly SymbolOccurrence[]> => {
    const found = new Map<SymbolKind, SymbolOccurrence[]>();
    for (const mention of part) if (mention.role === 'definition') addToGroup(found, mention.kind, mention);
    return found;
  },
);

type Taken = (scalar: ScalarNode<unknown>) => void;

/** Visits the scalars at `path`, starting at segment `depth` and descending into lists. */
function eachScalarAt(node: AnyNode, path: readonly string[], depth: number, take: Taken): void {
  if (node.kind === 'list') {
    for (const item of node.items as readonly AnyNode[]) eachScalarAt(item, path, depth, take);
  } else if (node.kind === 'map') {
    const value = depth < path.length ? node.entry(path[depth]!)?.value : undefined;
    if (value) eachScalarAt(value, path, depth + 1, take);
  } else if (depth === path.length && node.value !== null) {
    take(node);
  }
}

function eachScalar(node: AnyNode, take: Taken): void {
  if (node.kind === 'scalar') take(node);
  else if (node.kind === 'list') for (const item of node.items as readonly AnyNode[]) eachScalar(item, take);
  else for (const entry of node.entries) eachScalar(entry.value, take);
}
