import type { Document } from '../document/document.ts';
import { mapsIn } from '../document/node.ts';
import type { AnyNode, Located, MapNode, ScalarNode } from '../document/node.ts';
import { memoByIdentity } from '../incremental/memo.ts';
import { inputQuery, memoByKey, query, sameEntries, sameMembers } from '../incremental/query.ts';
import type { Span } from '../text/span.ts';
import type { Connector as RawConnector, Zone as RawZone } from '../generated/repair-plan.ts';
import type { RateSheet } from '../generated/rate-sheet.ts';
import { say } from '../language/phrase.ts';
import type { ConnectorClass } from './tables/classes.ts';
import { readIds, readQuantity, readText } from './read.ts';
import type { WithSpan, Quantity } from './read.ts';
import { documentIn, everyOfKind, everySection, missingPhotosIn, unresolvedIn, usedIn } from './snapshot.ts';
import type { ReportedSeverity, Snapshot, UnresolvedUse } from './snapshot.ts';
import { definedIn, definitionGroups, occurrenceGroups } from './symbols.ts';
import type { SymbolOccurrence, OccurrenceGroup, SymbolKind } from './symbols.ts';
import { effects } from './tables/effects.ts';
import type { FactId } from './tables/effects.ts';
import { builtInTasks } from './tables/tasks.ts';
import type { Task } from './tables/tasks.ts';
import { Zones } from './tables/zones.ts';

/** A connector merged from the plan's own entry and the connector lists; the plan takes precedence. */
export interface Connector {
  readonly id: string;
  readonly name: string;
  /** Where it is defined first, the plan before the lists. */
  readonly span: Span;
  readonly nodes: readonly MapNode<RawConnector>[];
  readonly class: ConnectorClass | undefined;
  readonly zone: string | undefined;
  readonly makerCover: NonNullable<RawConnector['maker-cover']>;
  readonly lock: boolean;
  readonly newSeal: boolean;
  readonly calibrate: boolean;
  /** Opening it is the isolation of the high-voltage system, as with a service plug. */
  readonly isolates: boolean;
  /** What a fluid line carries. */
  readonly medium: RawConnector['medium'];
  /** How a fluid line is shut off while it is open, where it is not emptied. */
  readonly shutOff: RawConnector['shut-off'];
  /** The vehicle maker's own limit of the insulation resistance. */
  readonly insulationLimit: Quantity | undefined;
  /** The source that an entry names. */
  readonly source: string | undefined;
  /** Where it differs from the system voltage. */
  readonly voltage: Quantity | undefined;
  readonly current: {
    readonly steady?: Quantity;
    readonly peak?: Quantity;
    readonly peakTime?: Quantity;
    readonly dutyCycle?: DutyCycle;
  };
  /** `at`: the temperature at which both hold. */
  readonly resistance: { readonly asNew?: Quantity; readonly limit?: Quantity; readonly at?: Quantity };
  readonly plating: RawConnector['plating'];
  readonly cable: Quantity | undefined;
  /** American Wire Gauge of the cable, as written. */
  readonly cableGauge: WithSpan<string> | undefined;
  /** Its stated heat capacities and thermal resistances. */
  readonly thermal: Readonly<Partial<Record<ThermalKey, Quantity>>>;
  readonly temperatureClass: Quantity | undefined;
  readonly heatBudget: Quantity | undefined;
}

/** A repeating sequence of currents, every phase of which was readable. */
export interface DutyCycle {
  readonly phases: readonly { readonly current: Quantity; readonly time: Quantity }[];
  readonly span: Span;
}

const thermalQuantities = {
  surroundings: 'temperature',
  'contact-capacity': 'heat-capacity',
  'body-capacity': 'heat-capacity',
  'contact-to-body': 'thermal-resistance',
  'body-to-surroundings': 'thermal-resistance',
} as const;
type ThermalKey = keyof typeof thermalQuantities;

export interface Consumable {
  readonly id: string;
  readonly name: string;
  readonly kind: string;
  readonly nonConductive: boolean;
  readonly highVisibility: boolean;
  readonly tied: boolean;
  readonly fits: readonly string[];
  readonly charged: boolean;
  /** As written; money is read from its digits. */
  readonly price: ScalarNode<unknown> | undefined;
  readonly unit: string | undefined;
  readonly span: Span;
}

export interface StudiedTime {
  readonly task: string;
  readonly hours: number;
  readonly per: 'operation' | 'connector';
  readonly rate: string | undefined;
  readonly basis: 'included' | 'not-included' | undefined;
  readonly reference: string | undefined;
}

/** Somebody of the shop, and the work that the shop allows them. */
export interface Person {
  readonly id: string;
  /** Of `high-voltage`, `restraint`, `refrigerant`. */
  readonly may: ReadonlySet<string>;
  /** The last day on which it is valid, ISO 8601. */
  readonly until: string | undefined;
  readonly span: Span;
}

/** What the shop's sheet says about checking. */
interface Policy {
  readonly severities: ReadonlyMap<string, ReportedSeverity | 'off'>;
  readonly photos: readonly string[];
  readonly signOffs: readonly string[];
  readonly sourcesKeptFor: Quantity | undefined;
}

/** Everything the names in a document can mean: its own definitions, those of the files it uses, the built-in ones. */
export interface Scope {
  readonly document: Document;
  readonly used: readonly Document[];
  readonly unresolved: readonly UnresolvedUse[];
  readonly missingPhotos: Snapshot['missingPhotos'];
  readonly connectors: ReadonlyMap<string, Connector>;
  readonly consumables: ReadonlyMap<string, Consumable>;
  readonly tasks: ReadonlyMap<string, Task>;
  readonly zones: Zones;
  readonly times: ReadonlyMap<string, StudiedTime>;
  readonly procedures: ReadonlyMap<string, Document<'shop-procedure'>>;
  readonly rateSheet: MapNode<RateSheet> | undefined;
  readonly policy: Policy;
  /** The people of the shop and what they may do; empty where the sheet lists none. */
  readonly people: ReadonlyMap<string, Person>;
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

/** The parts of the mentions in which a kind of name is defined. */
const definingIn = memoByKey((kind: SymbolKind) =>
  query(
    (reading: Snapshot): readonly (readonly SymbolOccurrence[])[] => [
      ...ownDefinitionsIn(kind)(reading).flat(),
      // Operations and parameters are private to their document; the rest is seen by the files that use it.
      ...(kind === 'operation' || kind === 'parameter'
        ? []
        : usedIn(reading).flatMap((used) => definitionGroups(used, kind).flat())),
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
const idsDefinedIn = (parts: readonly (readonly SymbolOccurrence[])[], kind: SymbolKind): string[] => {
  const ids: string[] = [];
  for (const part of parts) for (const { id } of definedIn(part).get(kind) ?? []) ids.push(id);
  return ids;
};
/** All ids of a kind, including duplicates. Edits rarely change them. */
const idsIn = memoByKey((kind: SymbolKind) =>
  query((reading: Snapshot) => idsDefinedIn(definingIn(kind)(reading), kind), sameMembers),
);
const ownIdsIn = memoByKey((kind: SymbolKind) =>
  query((reading: Snapshot) => idsDefinedIn(ownDefinitionsIn(kind)(reading).flat(), kind), sameMembers),
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

function optional<K extends string, V>(key: K, value: V | undefined): { [P in K]?: V } {
  return (value === undefined ? {} : { [key]: value }) as { [P in K]?: V };
}

function readConnectors(lists: readonly AnyNode[]): Map<string, Connector> {
  const nodes = new Map<string, MapNode<RawConnector>[]>();
  for (const list of lists) {
    for (const node of mapsIn<RawConnector>(list as Located<RawConnector[]>)) {
      const id = node.get('id')?.value;
      if (id === undefined) continue;
      const known = nodes.get(id);
      // A second entry in one document is a finding; it does not refine the first.
      if (!known) nodes.set(id, [node]);
      else if (known.every((other) => other.span.origin.uri !== node.span.origin.uri)) known.push(node);
    }
  }
  return new Map(
    [...nodes].map(([id, list]) => [
      id,
      list.length === 1 ? ownConnector(list[0]!, id) : readConnector(id, list),
    ]),
  );
}

/** Most connectors have one entry; then the connector follows from it alone. */
const ownConnector = memoByIdentity((node: MapNode<RawConnector>, id: string) => readConnector(id, [node]));

function readConnector(id: string, nodes: readonly MapNode<RawConnector>[]): Connector {
  const first = <T>(read: (node: MapNode<RawConnector>) => T | undefined): T | undefined => {
    for (const node of nodes) {
      const value = read(node);
      if (value !== undefined) return value;
    }
    return undefined;
  };
  const current = (key: 'steady' | 'peak'): Quantity | undefined =>
    first((node) => readQuantity('current', node.get('current')?.get(key)));
  const resistance = (key: 'as-new' | 'limit'): Quantity | undefined =>
    first((node) => readQuantity('resistance', node.get('resistance')?.get(key)));
  return {
    id,
    name: first((node) => node.get('name')?.value) ?? id,
    span: nodes[0]!.get('id')!.span,
    nodes,
    class: first((node) => node.get('class')?.value),
    zone: first((node) => node.get('zone')?.value),
    makerCover: first((node) => node.get('maker-cover')?.value) ?? 'not-stated',
    lock: first((node) => node.get('lock')?.value) ?? false,
    newSeal: first((node) => node.get('new-seal')?.value) ?? false,
    calibrate: first((node) => node.get('calibrate')?.value) ?? false,
    isolates: first((node) => node.get('isolates')?.value) ?? false,
    medium: first((node) => node.get('medium')?.value),
    shutOff: first((node) => node.get('shut-off')?.value),
    insulationLimit: first((node) => readQuantity('resistance', node.get('insulation-limit'))),
    source: first((node) => node.get('source')?.value),
    voltage: first((node) => readQuantity('voltage', node.get('voltage'))),
    current: {
      ...optional('steady', current('steady')),
      ...optional('peak', current('peak')),
      ...optional(
        'peakTime',
        first((node) => readQuantity('time', node.get('current')?.get('peak-time'))),
      ),
      ...optional('dutyCycle', first(readDutyCycle)),
    },
    resistance: {
      ...optional('asNew', resistance('as-new')),
      ...optional('limit', resistance('limit')),
      ...optional(
        'at',
        first((node) => readQuantity('temperature', node.get('resistance')?.get('at'))),
      ),
    },
    plating: first((node) => node.get('plating')?.value),
    cable: first((node) => readQuantity('area', node.get('cable'))),
    cableGauge: first((node) => readText(node.get('cable-gauge'))),
    thermal: Object.fromEntries(
      (Object.keys(thermalQuantities) as ThermalKey[]).flatMap((key) => {
        const value = first((node) => readQuantity(thermalQuantities[key], node.get('thermal')?.get(key)));
        return value ? [[key, value]] : [];
      }),
    ),
    temperatureClass: first((node) => readQuantity('temperature', node.get('temperature-class'))),
    heatBudget: first((node) => readQuantity('power', node.get('heat-budget'))),
  };
}

/** An unreadable phase invalidates the whole cycle: the remaining phases would be a different cycle. */
function readDutyCycle(node: MapNode<RawConnector>): DutyCycle | undefined {
  const cycle = node.get('current')?.get('duty-cycle');
  if (!cycle || cycle.rejectedBySchema || cycle.kind !== 'list') return undefined;
  const phases = cycle.items.flatMap((phase) => {
    if (phase.rejectedBySchema || phase.kind !== 'map') return [];
    const current = readQuantity('current', phase.get('current'));
    const time = readQuantity('time', phase.get('time'));
    return current && time ? [{ current, time }] : [];
  });
  return phases.length > 0 && phases.length === cycle.items.length ? { phases, span: cycle.span } : undefined;
}

function readConsumables(sheets: readonly Document<'rate-sheet'>[]): Map<string, Consumable> {
  const found = new Map<string, Consumable>();
  for (const sheet of sheets) {
    for (const node of mapsIn(sheet.root?.get('consumables'))) {
      const id = node.get('id');
      const kind = node.get('kind')?.value;
      if (!id || kind === undefined || found.has(id.value)) continue;
      found.set(id.value, {
        id: id.value,
        name: node.get('name')?.value ?? id.value,
        kind,
        nonConductive: node.get('non-conductive')?.value ?? false,
        highVisibility: node.get('high-visibility')?.value ?? false,
        tied: node.get('tied')?.value ?? false,
        fits: readIds(node.get('fits')).map(({ value }) => value),
        charged: node.get('charged')?.value ?? true,
        price: node.get('price'),
        unit: node.get('unit')?.value,
        span: id.span,
      });
    }
  }
  return found;
}

function readTasks(sheets: readonly Document<'rate-sheet'>[]): Map<string, Task> {
  const tasks = new Map(builtInTasks);
  for (const sheet of sheets) {
    for (const node of mapsIn(sheet.root?.get('tasks'))) {
      const id = node.get('id')?.value;
      if (id === undefined) continue;
      const base = tasks.get(id);
      const raises = node.get('raises')?.items.flatMap((item) => (item.rejectedBySchema ? [] : [item.value]));
      tasks.set(id, {
        id,
        doing: base?.doing ?? say`${id.replaceAll('-', ' ')}`,
        raises: raises ?? base?.raises ?? [],
        reach: node.get('reach')?.value ?? base?.reach ?? 'beside',
        gate: node.get('gate')?.value ?? base?.gate ?? false,
        owesLabour: node.get('owes-labour')?.value ?? base?.owesLabour ?? false,
        handsOn: base?.handsOn ?? true,
        // A shop's row adds to a built-in task and takes nothing away.
        needs: factsIn(node.get('needs'), base?.needs),
        makes: factsIn(node.get('makes'), base?.makes),
        ends: factsIn(node.get('ends'), base?.ends),
      });
    }
  }
  return tasks;
}

/** The facts that a shop's row names, after those of the row it adds to; unknown words are findings of the schema. */
const factsIn = (node: Parameters<typeof readIds>[0], base: readonly FactId[] = []): readonly FactId[] => [
  ...base,
  ...readIds(node).flatMap(({ value }) => (Object.hasOwn(effects, value) ? [value as FactId] : [])),
];

function* readZones(lists: readonly AnyNode[]): Generator<readonly [string, readonly string[]]> {
  for (const list of lists) {
    for (const node of mapsIn<RawZone>(list as Located<RawZone[]>)) {
      const id = node.get('id')?.value;
      if (id !== undefined) yield [id, readIds(node.get('beside')).map(({ value }) => value)];
    }
  }
}

function readTimes(sheets: readonly Document<'rate-sheet'>[]): Map<string, StudiedTime> {
  const times = new Map<string, StudiedTime>();
  for (const sheet of sheets) {
    for (const node of mapsIn(sheet.root?.get('times'))) {
      const task = node.get('task')?.value;
      const hours = node.get('hours')?.value;
      if (task === undefined || hours === undefined || times.has(task)) continue;
      times.set(task, {
        task,
        hours,
        per: node.get('per')?.value ?? 'operation',
        rate: node.get('rate')?.value,
        basis: node.get('basis')?.value,
        reference: node.get('reference')?.value,
      });
    }
  }
  return times;
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

function readPeople(sheets: readonly Document<'rate-sheet'>[]): Map<string, Person> {
  const people = new Map<string, Person>();
  for (const sheet of sheets) {
    for (const node of mapsIn(sheet.root?.get('people'))) {
      const id = node.get('id');
      if (!id || people.has(id.value)) continue;
      people.set(id.value, {
        id: id.value,
        may: new Set(readIds(node.get('may') as Parameters<typeof readIds>[0]).map(({ value }) => value)),
        until: node.get('until')?.value,
        span: id.span,
      });
    }
  }
  return people;
}

function readPolicy(sheets: readonly Document<'rate-sheet'>[]): Policy {
  const severities = new Map<string, ReportedSeverity | 'off'>();
  const sections = sheets.flatMap((sheet) => sheet.root?.get('plugward') ?? []);
  for (const section of sections) {
    for (const entry of section.get('severities')?.entries ?? []) {
      const level = readText(entry.value.kind === 'scalar' ? entry.value : undefined)?.value;
      if (level && !severities.has(entry.key)) severities.set(entry.key, level as ReportedSeverity | 'off');
    }
  }
  const values = (key: 'photos' | 'sign-offs'): string[] =>
    sections.flatMap((section) => readIds(section.get(key)).map(({ value }) => value));
  return {
    severities,
    photos: values('photos'),
    signOffs: values('sign-offs'),
    sourcesKeptFor: sections.map((section) => readQuantity('time', section.get('sources-kept-for')))[0],
  };
}
