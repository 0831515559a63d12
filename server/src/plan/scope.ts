import { emptyList, fastFlatMap } from '../base/collections.ts';
import type { Document } from '../document/document.ts';
import { mapsIn } from '../document/node.ts';
import type { AnyNode, Located, MapNode } from '../document/node.ts';
import { inputQuery, memoByKey, query, sameEntries, sameMembers } from '../incremental/query.ts';
import type { Zone as RawZone } from '../generated/repair-plan.ts';
import type { RateSheet } from '../generated/rate-sheet.ts';
import { readConnectors } from './connectors.ts';
import type { Connector } from './connectors.ts';
import { readConsumables, readPeople, readPolicy, readTasks, readTimes } from './rate-sheet.ts';
import type { Consumable, Person, Policy, StudiedTime } from './rate-sheet.ts';
import { readIds } from './read.ts';
import {
  documentIn,
  everyOfKind,
  everySection,
  missingPhotosIn,
  misspelledIn,
  unresolvedIn,
  usedIn,
} from './snapshot.ts';
import type { MisspelledUse, Snapshot, UnresolvedUse } from './snapshot.ts';
import { definedIn, definitionGroups, idsDefinedInPart, occurrenceGroups } from './symbols.ts';
import type { SymbolOccurrence, OccurrenceGroup, SymbolKind } from './symbols.ts';
import type { Task } from './tables/tasks.ts';
import { Zones } from './tables/zones.ts';

export type { Connector, DutyCycle } from './connectors.ts';
export type { Consumable, StudiedTime } from './rate-sheet.ts';

/** Everything the names in a document can mean: its own definitions, those of the files it uses, the built-in ones. */
export interface Scope {
  readonly document: Document;
  readonly used: readonly Document[];
  readonly unresolved: readonly UnresolvedUse[];
  readonly misspelled: readonly MisspelledUse[];
  readonly missingPhotos: Snapshot['missingPhotos'];
  readonly connectors: ReadonlyMap<string, Connector>;
  readonly consumables: ReadonlyMap<string, Consumable>;
  readonly tasks: ReadonlyMap<string, Task>;
  readonly zones: Zones;
  readonly times: ReadonlyMap<string, StudiedTime>;
  readonly procedures: ReadonlyMap<string, Document<'shop-procedure'>>;
  readonly rateSheet: MapNode<RateSheet> | undefined;
  readonly policy: Policy;
  /**
   * The people of the shop and what they may do; undefined where the sheet lists nobody. Entries that cannot be read are
   * missing from it: they permit nothing.
   */
  readonly people: ReadonlyMap<string, Person> | undefined;
  /** Mentions in the document itself, by top-level key. */
  readonly mentionGroups: readonly OccurrenceGroup[];
  /** The same in one list. */
  readonly mentions: readonly SymbolOccurrence[];
  /** First definition of each id of a kind. */
  definitions(kind: SymbolKind): ReadonlyMap<string, SymbolOccurrence>;
  definition(kind: SymbolKind, id: string): SymbolOccurrence | undefined;
  /** The ids of a kind. The set keeps its identity until they change. */
  names(kind: SymbolKind): ReadonlySet<string>;
  /** Whether the document itself defines an id of a kind twice. */
  repeats(kind: SymbolKind): boolean;
}

/** The scope of one state of a document. Each part is computed on first use. */
export class SnapshotScope implements Scope {
  constructor(readonly reading: Snapshot) {}

  get document(): Document {
    return documentIn(this.reading);
  }
  get used(): readonly Document[] {
    return usedIn(this.reading);
  }
  get unresolved(): readonly UnresolvedUse[] {
    return unresolvedIn(this.reading);
  }
  get misspelled(): readonly MisspelledUse[] {
    return misspelledIn(this.reading);
  }
  get missingPhotos(): Snapshot['missingPhotos'] {
    return missingPhotosIn(this.reading);
  }
  get connectors(): Scope['connectors'] {
    return connectorsIn(this.reading);
  }
  get consumables(): Scope['consumables'] {
    return consumablesIn(this.reading);
  }
  get tasks(): Scope['tasks'] {
    return tasksIn(this.reading);
  }
  get zones(): Zones {
    return zonesIn(this.reading);
  }
  get times(): Scope['times'] {
    return timesIn(this.reading);
  }
  get procedures(): Scope['procedures'] {
    return proceduresIn(this.reading);
  }
  get rateSheet(): Scope['rateSheet'] {
    return sheetsIn(this.reading)[0]?.root;
  }
  get policy(): Policy {
    return policyIn(this.reading);
  }
  get people(): Scope['people'] {
    return peopleIn(this.reading);
  }
  get mentionGroups(): Scope['mentionGroups'] {
    return mentionGroupsIn(this.reading);
  }
  get mentions(): readonly SymbolOccurrence[] {
    return mentionsIn(this.reading);
  }
  definitions(kind: SymbolKind): ReadonlyMap<string, SymbolOccurrence> {
    return definitionsIn(kind)(this.reading);
  }
  definition(kind: SymbolKind, id: string): SymbolOccurrence | undefined {
    return this.definitions(kind).get(id);
  }
  names(kind: SymbolKind): ReadonlySet<string> {
    return namesIn(kind)(this.reading);
  }
  repeats(kind: SymbolKind): boolean {
    return repeatsIn(kind)(this.reading);
  }
}

const sheetsIn = everyOfKind('rate-sheet');
const connectorListsIn = everySection('connectors', ['repair-plan', 'connector-list']);
const zoneListsIn = everySection('zones');
const procedureFilesIn = everyOfKind('shop-procedure');

const connectorsIn = query((reading: Snapshot) => readConnectors(connectorListsIn(reading)), sameEntries);
const consumablesIn = query((reading: Snapshot) => readConsumables(sheetsIn(reading)));
const tasksIn = query((reading: Snapshot) => readTasks(sheetsIn(reading)));
const zonesIn = query((reading: Snapshot) => new Zones(readZones(zoneListsIn(reading))));
const timesIn = query((reading: Snapshot) => readTimes(sheetsIn(reading)));
const proceduresIn = query((reading: Snapshot) => readProcedures(procedureFilesIn(reading)), sameEntries);
const peopleIn = query((reading: Snapshot) => readPeople(sheetsIn(reading)));
const policyIn = query((reading: Snapshot) => readPolicy(sheetsIn(reading)));

const mentionGroupsIn = query((reading: Snapshot) => occurrenceGroups(documentIn(reading)), sameMembers);
const mentionsIn = query((reading: Snapshot) => mentionGroupsIn(reading).flat(2));

/** Operations and parameters are private to their document; the rest is seen by the files that use it. */
const isPrivate = (kind: SymbolKind): boolean => kind === 'operation' || kind === 'parameter';

/** The parts of the mentions in which a kind of name is defined. */
const definingIn = memoByKey((kind: SymbolKind) =>
  query(
    (reading: Snapshot): readonly (readonly SymbolOccurrence[])[] => [
      ...ownDefinitionsIn(kind)(reading).flat(),
      ...(isPrivate(kind) ? [] : usedIn(reading).flatMap((used) => definitionGroups(used, kind).flat())),
    ],
    sameMembers,
  ),
);
/** First definition of each id of a kind. */
const definitionsIn = memoByKey((kind: SymbolKind) =>
  query((reading: Snapshot): ReadonlyMap<string, SymbolOccurrence> => {
    const found = new Map<string, SymbolOccurrence>();
    for (const part of definingIn(kind)(reading)) {
      for (const mention of definedIn(part).get(kind) ?? []) {
        if (!found.has(mention.id)) found.set(mention.id, mention);
      }
    }
    return found;
  }, sameEntries),
);
const idsDefinedIn = (parts: readonly (readonly SymbolOccurrence[])[], kind: SymbolKind): string[] =>
  fastFlatMap(parts, (part) => idsDefinedInPart(part).get(kind) ?? emptyList);
const ownIdsIn = memoByKey((kind: SymbolKind) =>
  query((reading: Snapshot) => idsDefinedIn(ownDefinitionsIn(kind)(reading).flat(), kind), sameMembers),
);
/** All ids of a kind, including duplicates. Edits rarely change them. */
const idsIn = memoByKey((kind: SymbolKind) =>
  isPrivate(kind)
    ? ownIdsIn(kind)
    : query((reading: Snapshot) => idsDefinedIn(definingIn(kind)(reading), kind), sameMembers),
);
const repeatsIn = memoByKey((kind: SymbolKind) =>
  query((reading: Snapshot) => {
    const ids = ownIdsIn(kind)(reading);
    return new Set(ids).size < ids.length;
  }),
);
const namesIn = memoByKey((kind: SymbolKind) =>
  query(
    (reading: Snapshot): ReadonlySet<string> => new Set(idsIn(kind)(reading)),
    (before, now) => before.size === now.size && [...now].every((name) => before.has(name)),
  ),
);
const ownDefinitionsIn = memoByKey((kind: SymbolKind) =>
  inputQuery(({ document }: Snapshot) => definitionGroups(document, kind), sameMembers),
);

function* readZones(lists: readonly AnyNode[]): Generator<readonly [string, readonly string[]]> {
  for (const list of lists) {
    for (const node of mapsIn<RawZone>(list as Located<RawZone[]>)) {
      const id = node.get('id')?.value;
      if (id !== undefined) yield [id, readIds(node.get('beside')).map(({ value }) => value)];
    }
  }
}

function readProcedures(
  files: readonly Document<'shop-procedure'>[],
): Map<string, Document<'shop-procedure'>> {
  const procedures = new Map<string, Document<'shop-procedure'>>();
  for (const procedure of files) {
    const id = procedure.root?.get('procedure')?.value;
    if (id !== undefined && !procedures.has(id)) procedures.set(id, procedure);
  }
  return procedures;
}
