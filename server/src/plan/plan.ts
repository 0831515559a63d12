import { currentFindingId } from './tables/renamed-findings.ts';
import type { Span } from '../text/span.ts';
import type { Document } from '../document/document.ts';
import { fastFlatMap, addToGroup, mapDefined, emptyList } from '../base/collections.ts';
import type { Kind } from '../document/kind.ts';
import { mapsIn } from '../document/node.ts';
import type { AnyNode, Located, MapNode, ScalarNode } from '../document/node.ts';
import { memoByIdentity } from '../incremental/memo.ts';
import { inputQuery, keepGroups, keyedQuery, query, sameMembers } from '../incremental/query.ts';
import type { Query } from '../incremental/query.ts';
import { chunker } from '../incremental/chunks.ts';
import type { RepairPlan } from '../generated/repair-plan.ts';
import { buildStepGraph, sameNetwork } from './network.ts';
import type { StepGraph } from './network.ts';
import { operationsOf } from './operations.ts';
import { ownSteps } from './steps.ts';
import type { Expansion, Operation } from './operations.ts';
import type { Step } from './steps.ts';
import { readIds, readQuantity, readText } from './read.ts';
import type { WithSpan, Quantity } from './read.ts';
import { documentIn, keySpanIn, sectionIn } from './snapshot.ts';
import type { Snapshot } from './snapshot.ts';
import { SnapshotScope } from './scope.ts';
import type { Scope } from './scope.ts';
import { readVehicle } from './vehicle.ts';
import type { Vehicle } from './vehicle.ts';

type Raw<K extends keyof RepairPlan> = NonNullable<RepairPlan[K]> extends readonly (infer U)[] ? U : never;

export interface LabourLine {
  readonly node: MapNode<Raw<'labour'>>;
  readonly for: readonly WithSpan<string>[];
  readonly task: WithSpan<string> | undefined;
  /** `undefined` while the value is still a placeholder. */
  readonly hours: number | undefined;
  /** Whether another firm bills a part of it. */
  readonly sublet: boolean;
  readonly basis: Raw<'labour'>['basis'];
  /** Names the source that shows it. */
  readonly reference: string | undefined;
}

export interface MaterialLine {
  readonly node: MapNode<Raw<'materials'>>;
  readonly for: readonly WithSpan<string>[];
  readonly item: WithSpan<string> | undefined;
  readonly quantity: number | undefined;
}

export interface Measurement {
  readonly node: MapNode<Raw<'measurements'>>;
  readonly connector: WithSpan<string>;
  /** The step after which it was taken. */
  readonly after: WithSpan<string> | undefined;
  readonly kind: NonNullable<Raw<'measurements'>['kind']>;
  readonly method: Raw<'measurements'>['method'];
  readonly value: Quantity | undefined;
  readonly uncertainty: Quantity | undefined;
  /** Temperature of the connector when it was read. */
  readonly at: Quantity | undefined;
}

export interface Acceptance {
  readonly node: MapNode<Raw<'accepted'>>;
  readonly finding: WithSpan<string>;
  readonly at: WithSpan<string> | undefined;
  readonly until: WithSpan<string> | undefined;
}

/** A signature under `sign-offs`. */
export interface Signature {
  readonly role: string;
  readonly name: WithSpan<string> | undefined;
}

/** Typed, located access to one file in one state. No code above this layer touches YAML. */
export interface Plan extends Expansion {
  readonly document: Document;
  readonly uri: string;
  readonly kind: Kind;
  readonly root: MapNode<RepairPlan> | undefined;
  /** The value of one of a repair plan's top-level keys; `undefined` if it is absent or rejected. */
  section<K extends keyof RepairPlan & string>(key: K): Located<NonNullable<RepairPlan[K]>> | undefined;
  readonly reading: Snapshot;
  readonly scope: Scope;
  /** The list of the plan's own steps. */
  readonly stepList: Located<NonNullable<RepairPlan['operations']>> | undefined;
  /** By operation id, as in `op20` or `op10/lock`; the first of two that share an id. */
  operation(id: string): Operation | undefined;
  readonly network: StepGraph;
  /** Index of a step in the source list, counting items that are not steps. */
  indexInList(step: Step): number;
  /** An entry of the plan's own list; the last of two that share an id. */
  step(id: string): Step | undefined;
  /** All operations, in chunks; an edit replaces only the chunks it touches. */
  readonly operationRuns: readonly (readonly Operation[])[];
  /** The operations of one entry of the plan's own list: one, or those of the procedure it follows. */
  operationsOf(step: Step): readonly Operation[];
  /** The operations that do a task, in the order of the text. */
  operationsDoing(task: string): readonly Operation[];
  readonly labour: readonly LabourLine[];
  readonly materials: readonly MaterialLine[];
  /** The labour lines for each step, by step id. */
  readonly labourByStep: ReadonlyMap<string, readonly LabourLine[]>;
  readonly materialsByStep: ReadonlyMap<string, readonly MaterialLine[]>;
  readonly measurements: readonly Measurement[];
  readonly accepted: readonly Acceptance[];
  readonly heatBudget: Quantity | undefined;
  readonly vehicle: Vehicle | undefined;
  readonly signatures: readonly Signature[];
  /** The roles that have signed off. */
  readonly signedRoles: readonly string[];
}

/**
 * A plan, or a procedure by itself (which then has operations and nothing else). Each part is computed on
 * first use.
 */
export class SnapshotPlan implements Plan {
  readonly scope: Scope;

  constructor(readonly reading: Snapshot) {
    this.scope = new SnapshotScope(reading);
  }
  get document(): Document {
    return documentIn(this.reading);
  }
  get uri(): string {
    return uriIn(this.reading);
  }
  get kind(): Kind {
    return kindIn(this.reading);
  }
  get root(): Plan['root'] {
    const { document } = this;
    return document.kind === 'repair-plan' ? (document as Document<'repair-plan'>).root : undefined;
  }
  section<K extends keyof RepairPlan & string>(key: K): Located<NonNullable<RepairPlan[K]>> | undefined {
    return planSection(this.reading, key) as never;
  }
  get steps(): Plan['steps'] {
    return stepsIn(this.reading);
  }
  get stepList(): Plan['stepList'] {
    return sectionIn('operations')(this.reading) as Plan['stepList'];
  }
  get operations(): Plan['operations'] {
    return operationsIn(this.reading);
  }
  get operationRuns(): Plan['operationRuns'] {
    return operationRunsIn(this.reading);
  }
  get network(): Plan['network'] {
    return networkIn(this.reading);
  }
  indexInList(step: Step): number {
    return placesIn(this.reading).get(step.node) ?? -1;
  }
  get unknownCalls(): Plan['unknownCalls'] {
    return unknownCallsIn(this.reading);
  }
  get recursiveCalls(): Plan['recursiveCalls'] {
    return recursiveCallsIn(this.reading);
  }
  get firstOverLimit(): Plan['firstOverLimit'] {
    return tooManyIn(this.reading);
  }
  operation(id: string): Operation | undefined {
    return operationsByIdIn(this.reading).get(id);
  }
  step(id: string): Step | undefined {
    const place = placesByIdIn(this.reading).get(id);
    return place === undefined ? undefined : stepsIn(this.reading)[place];
  }
  operationsOf(step: Step): readonly Operation[] {
    const extent = extentsIn(this.reading).get(step);
    return extent ? this.operations.slice(...extent) : [];
  }
  operationsDoing(task: string): readonly Operation[] {
    return doingIn(this.reading, task);
  }
  get labour(): readonly LabourLine[] {
    return labourIn(this.reading);
  }
  get materials(): readonly MaterialLine[] {
    return materialsIn(this.reading);
  }
  get labourByStep(): Plan['labourByStep'] {
    return labourByStepIn(this.reading);
  }
  get materialsByStep(): Plan['materialsByStep'] {
    return materialsByStepIn(this.reading);
  }
  get measurements(): readonly Measurement[] {
    return measurementsIn(this.reading);
  }
  get accepted(): readonly Acceptance[] {
    return acceptedIn(this.reading);
  }
  get heatBudget(): Quantity | undefined {
    return heatBudgetIn(this.reading);
  }
  get vehicle(): Vehicle | undefined {
    return vehicleIn(this.reading);
  }
  get signatures(): readonly Signature[] {
    return signaturesIn(this.reading);
  }
  get signedRoles(): readonly string[] {
    return signedIn(this.reading);
  }
}

const uriIn = inputQuery(({ document }: Snapshot) => document.uri);
const kindIn = inputQuery(({ document }: Snapshot) => document.kind);
/** A section of a repair plan; other kinds have none of these. */
const planSection = (reading: Snapshot, key: keyof RepairPlan & string): AnyNode | undefined =>
  kindIn(reading) === 'repair-plan' ? sectionIn(key)(reading) : undefined;

const stepsIn = query(
  (reading: Snapshot) => ownSteps(sectionIn('operations')(reading) as Parameters<typeof ownSteps>[0]),
  sameMembers,
);
/** The steps, updated only when their dependency graph changes; their other fields may be stale. */
const stepsToOrderIn = query((reading: Snapshot): readonly Step[] => stepsIn(reading), sameNetwork);
const networkIn = query((reading: Snapshot) =>
  buildStepGraph(stepsToOrderIn(reading), new SnapshotScope(reading).procedures),
);
/** Index of the first ignored step, if any. */
const tooManyFromIn = query((reading: Snapshot) => networkIn(reading).tooMany);
const operationsIn = query((reading: Snapshot): readonly Operation[] => {
  const to = tooManyFromIn(reading);
  const steps = stepsIn(reading);
  return operationsOf(to === undefined ? steps : steps.slice(0, to), new SnapshotScope(reading));
}, sameMembers);
const unknownCallsIn = query((reading: Snapshot) => networkIn(reading).unknownCalls, sameMembers);
const recursiveCallsIn = query((reading: Snapshot) => networkIn(reading).recursiveCalls, sameMembers);
const tooManyIn = query((reading: Snapshot): Step | undefined => {
  const from = tooManyFromIn(reading);
  return from === undefined ? undefined : stepsIn(reading)[from];
});
/** Index of each step by id; the last one if an id is duplicated. Edits rarely change it. */
const placesByIdIn = query((reading: Snapshot) => {
  const places = new Map<string, number>();
  stepIdsIn(reading).forEach((id, place) => places.set(id, place));
  return places;
});
const stepIdsIn = query((reading: Snapshot) => stepsIn(reading).map(({ id }) => id), sameMembers);
/** The index of each entry in the list of the text. */
const placesIn = query((reading: Snapshot) => {
  const list = sectionIn('operations')(reading);
  const items = list?.kind === 'list' ? (list.items as readonly AnyNode[]) : [];
  return new Map(items.map((item, place) => [item, place]));
});
/** Where the operations of a step begin and end in the list of operations. */
const extentsIn = query((reading: Snapshot) => {
  const extents = new Map<Step, readonly [from: number, to: number]>();
  operationsIn(reading).forEach(({ planStep }, place) => {
    extents.set(planStep, [extents.get(planStep)?.[0] ?? place, place + 1]);
  });
  return extents;
});
const operationsByIdIn = query((reading: Snapshot) => {
  const found = new Map<string, Operation>();
  for (const operation of operationsIn(reading)) {
    if (!found.has(operation.id)) found.set(operation.id, operation);
  }
  return found;
});
const operationRunsOf = chunker<Operation>();
const operationRunsIn = query((reading: Snapshot) => operationRunsOf(operationsIn(reading)));
const byTask = memoByIdentity((run: readonly Operation[]): ReadonlyMap<string, readonly Operation[]> => {
  const found = new Map<string, Operation[]>();
  for (const operation of run) addToGroup(found, operation.taskId, operation);
  return found;
});
const doingIn = keyedQuery(
  (reading: Snapshot, task: string): readonly Operation[] =>
    fastFlatMap(operationRunsIn(reading), (run) => byTask(run).get(task) ?? emptyList),
  sameMembers,
);

const peopleOfRun = memoByIdentity((run: readonly Operation[]): readonly string[] => [
  ...new Set(run.flatMap(({ by }) => by?.value ?? emptyList)),
]);
const peopleNamedIn = query(
  (reading: Snapshot): readonly string[] => [
    ...new Set(fastFlatMap(operationRunsIn(reading), (run) => peopleOfRun(run))),
  ],
  sameMembers,
);
/** The names under `by`, each once. */
export const peopleNamed = ({ reading }: Plan): readonly string[] => peopleNamedIn(reading);

/**
 * Defines a query for the members of a list that satisfy `holds`, in text order. `holds` must depend on the
 * member alone.
 */
export const filterQuery =
  <T extends object>(runsIn: Query<Snapshot, readonly (readonly T[])[]>) =>
  (holds: (one: T) => boolean): ((plan: Plan) => readonly T[]) => {
    const inRun = memoByIdentity((run: readonly T[]) => run.filter(holds));
    const found = query(
      (reading: Snapshot) => fastFlatMap(runsIn(reading), (run) => inRun(run)),
      sameMembers,
    );
    return ({ reading }) => found(reading);
  };

/** The lines of a section, in runs of which an edit changes few. */
const runsOfLines = <T extends object, L extends object>(
  key: keyof RepairPlan & string,
  read: (node: MapNode<T>) => L | undefined,
): Query<Snapshot, readonly (readonly L[])[]> => {
  const runsOf = chunker<MapNode<T>>();
  const inRun = memoByIdentity((run: readonly MapNode<T>[]) =>
    mapDefined(mapsIn<T>({ items: run as never }), read),
  );
  return query((reading: Snapshot) => {
    const list = planSection(reading, key);
    return list?.kind === 'list' ? runsOf(list.items as never).map((run) => inRun(run)) : [];
  });
};

const readLabour = memoByIdentity((node: LabourLine['node']): LabourLine => ({
  node,
  for: readIds(node.get('for')),
  task: readText(node.get('task')),
  hours: asNumber(node.get('hours')?.value),
  sublet: node.entry('sublet') !== undefined,
  basis: node.get('basis')?.value,
  reference: node.entry('reference') && (node.get('reference')?.value ?? ''),
}));

const readMaterial = memoByIdentity((node: MaterialLine['node']): MaterialLine => ({
  node,
  for: readIds(node.get('for')),
  item: readText(node.get('item')),
  quantity: asNumber(node.get('quantity')?.value),
}));

const readMeasurement = memoByIdentity((node: Measurement['node']): Measurement | undefined => {
  const connector = readText(node.get('connector'));
  return (
    connector && {
      node,
      connector,
      after: readText(node.get('after')),
      kind: node.get('kind')?.value ?? 'contact-resistance',
      method: node.get('method')?.value,
      value: readQuantity('resistance', node.get('value')),
      uncertainty: readQuantity('resistance', node.get('uncertainty')),
      at: readQuantity('temperature', node.get('at')),
    }
  );
});

/** The finding under the name it has today; where it is written moves with the text. */
class RenamedFinding implements WithSpan<string> {
  constructor(
    readonly value: string,
    readonly written: WithSpan<string>,
  ) {}

  get span(): Span {
    return this.written.span;
  }
}

function ofToday(written: WithSpan<string>): WithSpan<string> {
  const value = currentFindingId(written.value);
  return value === written.value ? written : new RenamedFinding(value, written);
}

const readAcceptance = memoByIdentity((node: Acceptance['node']): Acceptance | undefined => {
  const written = readText(node.get('finding'));
  return (
    written && {
      node,
      finding: ofToday(written),
      at: readText(node.get('at')),
      until: readText(node.get('until')),
    }
  );
});

function byStep<L extends Pick<LabourLine, 'for'>>(lines: readonly L[]): Map<string, readonly L[]> {
  const found = new Map<string, L[]>();
  for (const line of lines) for (const { value } of line.for) addToGroup(found, value, line);
  return found;
}

const asNumber = (value: unknown): number | undefined => (typeof value === 'number' ? value : undefined);

const labourRunsIn = runsOfLines('labour', readLabour);
const labourIn = query((reading: Snapshot) => labourRunsIn(reading).flat());
const materialsRunsIn = runsOfLines('materials', readMaterial);
const materialsIn = query((reading: Snapshot) => materialsRunsIn(reading).flat());
const labourByStepIn = query((reading: Snapshot) => byStep(labourIn(reading)), keepGroups);
const materialsByStepIn = query((reading: Snapshot) => byStep(materialsIn(reading)), keepGroups);
const measurementsRunsIn = runsOfLines('measurements', readMeasurement);
const measurementsIn = query((reading: Snapshot) => measurementsRunsIn(reading).flat());
const acceptedRunsIn = runsOfLines('accepted', readAcceptance);
const acceptedIn = query((reading: Snapshot) => acceptedRunsIn(reading).flat());
const signaturesIn = query((reading: Snapshot): readonly Signature[] =>
  mapsIn<Raw<'sign-offs'>>(
    planSection(reading, 'sign-offs') as Located<Raw<'sign-offs'>[]> | undefined,
  ).flatMap((node) => {
    const role = node.get('role')?.value;
    return role === undefined ? [] : { role, name: node.get('name') };
  }),
);
const signedIn = query((reading: Snapshot) => signaturesIn(reading).map(({ role }) => role));
export const operationsWhere = filterQuery(operationRunsIn);
export const labourWhere = filterQuery(labourRunsIn);
export const materialsWhere = filterQuery(materialsRunsIn);
const heatBudgetIn = query((reading: Snapshot) =>
  readQuantity('power', planSection(reading, 'heat-budget') as ScalarNode<unknown> | undefined),
);
const vehicleIn = query((reading: Snapshot) =>
  readVehicle(keySpanIn('vehicle')(reading), planSection(reading, 'vehicle')),
);
