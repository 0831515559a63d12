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
 * An occurrence as its own text gives it. What some of them mean depends on the files that the text uses: a labour line's
 * task may be a procedure, and what a value under `with:` names is told by the procedure that is followed.
 */
export interface WrittenName extends Omit<SymbolOccurrence, 'where'> {
  /** Whether a task may be a procedure as well. */
  readonly isOpen?: true;
  /** Under `with:`, the procedure that is followed. */
  readonly procedure?: string;
  /** Of a value under `with:`, the parameter that it is for. */
  readonly parameter?: string;
  /** Of a step inside a procedure, the ids that lead to it: the procedure's, then those of steps that follow others. */
  readonly inside?: readonly string[];
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
  ['put-down', 'zone', 'reference'],
  ['after', 'operation', 'reference'],
  ['cable-route', 'source', 'reference'],
  ['battery-distance', 'source', 'reference'],
  ['maker-procedure', 'source', 'reference'],
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
    ['vehicle.fuel-distance', 'source', 'reference'],
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

/** The rules that hold at one place, and at the places below it. */
interface Place {
  readonly rules: Rule[];
  readonly below: Map<string, Place>;
}
const newPlace = (): Place => ({ rules: [], below: new Map() });

/** The rules of each kind, by the keys that lead to where they hold. */
const rulePlaces = new Map(
  Object.entries(rules).map(([kind, list]) => {
    const root = newPlace();
    for (const rule of list) {
      let place = root;
      for (const key of rule[0].split('.')) {
        let next = place.below.get(key);
        if (!next) place.below.set(key, (next = newPlace()));
        place = next;
      }
      place.rules.push(rule);
    }
    return [kind, root] as const;
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
const definingKeys = (kind: Document['kind'], defined: SymbolKind): readonly string[] => [
  ...new Set(
    rules[kind].flatMap(([path, names, role]) =>
      names === defined && role === 'definition' ? [path.split('.', 1)[0]!] : [],
    ),
  ),
];
const definingKeysOf = memoByKey((kind: Document['kind']) =>
  memoByKey((defined: SymbolKind) => definingKeys(kind, defined)),
);

/** The same, of the keys under which a kind of name is defined. */
export const definitionGroups = ({ root, kind }: Document, defined: SymbolKind): OccurrenceGroup[] =>
  fastFlatMap(definingKeysOf(kind)(defined), (key) => {
    const value = (root as MapNode<Record<string, unknown>> | undefined)?.entry(key)?.value;
    return value ? [mentionsUnder(value, kind, key)] : [];
  });

/** Definitions of a name that an earlier one of the group has taken. Every kind of name is defined under one key. */
export const takenAgain = memoByIdentity((group: OccurrenceGroup) => {
  const seen = new Map<string, SymbolOccurrence>();
  const again: { mention: SymbolOccurrence; first: SymbolOccurrence }[] = [];
  for (const mention of group.flat()) {
    if (mention.role !== 'definition') continue;
    const first = seen.get(mention.id);
    if (first) again.push({ mention, first });
    else seen.set(mention.id, mention);
  }
  return again;
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
    const place = rulePlaces.get(kind)!.below.get(section);
    if (place) takeMentions(node, place, procedure, mentions);
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

/** The ids of those, by kind. */
export const idsDefinedInPart = memoByIdentity(
  (part: readonly SymbolOccurrence[]): ReadonlyMap<SymbolKind, readonly string[]> =>
    new Map([...definedIn(part)].map(([kind, mentions]) => [kind, mentions.map(({ id }) => id)])),
);

type Taken = (scalar: ScalarNode<unknown>) => void;

function takeMentions(node: AnyNode, place: Place, procedure: boolean, mentions: SymbolOccurrence[]): void {
  if (node.kind === 'list') {
    for (const item of node.items as readonly AnyNode[]) takeMentions(item, place, procedure, mentions);
  } else if (node.kind === 'map') {
    for (const { key, value } of node.entries) {
      const below = place.below.get(key);
      if (below) takeMentions(value, below, procedure, mentions);
    }
  } else {
    const { value, span, rejectedBySchema } = node;
    if (typeof value !== 'string' || (procedure && value.startsWith('$'))) return;
    for (const [where, kind, role] of place.rules) {
      // Keep a rejected definition, so that references to it are not reported too.
      if (role === 'definition' || !rejectedBySchema) mentions.push({ kind, id: value, span, role, where });
    }
  }
}

function eachScalar(node: AnyNode, take: Taken): void {
  if (node.kind === 'scalar') take(node);
  else if (node.kind === 'list') for (const item of node.items as readonly AnyNode[]) eachScalar(item, take);
  else for (const entry of node.entries) eachScalar(entry.value, take);
}
