import type { Document } from '../document/document.ts';
import { gather } from '../document/gather.ts';
import type { Kind } from '../document/kind.ts';
import { mapsIn } from '../document/node.ts';
import type { AnyNode, Located, MapNode, ScalarNode } from '../document/node.ts';
import { once } from '../document/once.ts';
import { input, query, sameMembers } from '../document/query.ts';
import type { Query } from '../document/query.ts';
import type { RepairPlan } from '../generated/repair-plan.ts';
import { expand } from './operations.ts';
import type { Expansion, Operation, Step } from './operations.ts';
import { readIds, readQuantity, readText } from './read.ts';
import type { At, Quantity } from './read.ts';
import { documentIn, keySpanIn, sectionIn } from './reading.ts';
import type { Reading } from './reading.ts';
import { ReadScope } from './scope.ts';
import type { Scope } from './scope.ts';
import { readVehicle } from './vehicle.ts';
import type { Vehicle } from './vehicle.ts';

type Raw<K extends keyof RepairPlan> = NonNullable<RepairPlan[K]> extends readonly (infer U)[] ? U : never;

export interface LabourLine {
  readonly node: MapNode<Raw<'labour'>>;
  readonly for: readonly At<string>[];
  readonly task: At<string> | undefined;
  /** Undefined while the blank is still to be filled in. */
  readonly hours: number | undefined;
  readonly basis: Raw<'labour'>['basis'];
  /** Names the source that shows it. */
  readonly reference: string | undefined;
}

export interface MaterialLine {
  readonly node: MapNode<Raw<'materials'>>;
  readonly for: readonly At<string>[];
  readonly item: At<string> | undefined;
  readonly quantity: number | undefined;
}

export interface Measurement {
  readonly node: MapNode<Raw<'measurements'>>;
  readonly connector: At<string>;
  readonly kind: NonNullable<Raw<'measurements'>['kind']>;
  readonly method: Raw<'measurements'>['method'];
  readonly value: Quantity | undefined;
  readonly uncertainty: Quantity | undefined;
  /** Temperature of the connector when it was read. */
  readonly at: Quantity | undefined;
}

export interface Acceptance {
  readonly node: MapNode<Raw<'accepted'>>;
  readonly finding: At<string>;
  readonly at: At<string> | undefined;
  readonly until: At<string> | undefined;
}

/** A repair plan, read once: every value knows its place, and nothing after this touches YAML. */
export interface Plan extends Expansion {
  readonly document: Document;
  readonly uri: string;
  readonly kind: Kind;
  readonly root: MapNode<RepairPlan> | undefined;
  /** The value of one of a repair plan's top-level keys; undefined when it is absent or was refused. */
  section<K extends keyof RepairPlan & string>(key: K): Located<NonNullable<RepairPlan[K]>> | undefined;
  readonly reading: Reading;
  readonly scope: Scope;
  /** The list in which the plan's own steps stand. */
  readonly stepList: Located<NonNullable<RepairPlan['operations']>> | undefined;
  /** By operation id, as in `op20` or `op10/lock`; the first of two that share an id. */
  operation(id: string): Operation | undefined;
  /** The entries of the plan's own list; the last of two that share an id. */
  readonly stepsById: ReadonlyMap<string, Step>;
  /** The operations of one entry of the plan's own list: one, or those of the procedure it follows. */
  operationsOf(step: Step): readonly Operation[];
  /** The operations that do a task, in the order of the text. */
  doing(task: string): readonly Operation[];
  readonly labour: readonly LabourLine[];
  readonly materials: readonly MaterialLine[];
  /** The lines that are for each step, by its id. */
  readonly labourByStep: ReadonlyMap<string, readonly LabourLine[]>;
  readonly materialsByStep: ReadonlyMap<string, readonly MaterialLine[]>;
  readonly measurements: readonly Measurement[];
  readonly accepted: readonly Acceptance[];
  readonly heatBudget: Quantity | undefined;
  readonly vehicle: Vehicle | undefined;
  /** The roles that someone has signed for. */
  readonly signed: readonly string[];
}

/** A plan, or a procedure by itself (which then has operations and nothing else). Each part is read when asked for. */
export class ReadPlan implements Plan {
  readonly scope: Scope;

  constructor(readonly reading: Reading) {
    this.scope = new ReadScope(reading);
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
  get predecessors(): Plan['predecessors'] {
    return predecessorsIn(this.reading);
  }
  get opaque(): Plan['opaque'] {
    return opaqueIn(this.reading);
  }
  get circles(): Plan['circles'] {
    return circlesIn(this.reading);
  }
  get tooMany(): Plan['tooMany'] {
    return tooManyIn(this.reading);
  }
  operation(id: string): Operation | undefined {
    return indexIn(this.reading).byId.get(id);
  }
  get stepsById(): Plan['stepsById'] {
    return stepsByIdIn(this.reading);
  }
  operationsOf(step: Step): readonly Operation[] {
    return step.caller ? [] : (indexIn(this.reading).byStep[step.position] ?? []);
  }
  doing(task: string): readonly Operation[] {
    return indexIn(this.reading).byTask.get(task) ?? [];
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
  get signed(): readonly string[] {
    return signedIn(this.reading);
  }
}

const uriIn = input(({ document }: Reading) => document.uri);
const kindIn = input(({ document }: Reading) => document.kind);
/** A section of a repair plan; other kinds have none of these. */
const planSection = (reading: Reading, key: keyof RepairPlan & string): AnyNode | undefined =>
  kindIn(reading) === 'repair-plan' ? sectionIn(key)(reading) : undefined;

const expansionIn = query((reading: Reading) => {
  const { procedures, connectors, tasks } = new ReadScope(reading);
  return expand(sectionIn('operations')(reading) as Parameters<typeof expand>[0], {
    procedures,
    connectors,
    tasks,
  });
});
// Each part by itself: what rests on the steps alone need not ask again when only their order has changed.
const stepsIn = query((reading: Reading) => expansionIn(reading).steps, sameMembers);
const operationsIn = query((reading: Reading) => expansionIn(reading).operations, sameMembers);
const predecessorsIn = query(
  (reading: Reading) => expansionIn(reading).predecessors,
  (before, now) =>
    before.length === now.length && before.every((list, node) => sameMembers(list, now[node]!)),
);
const opaqueIn = query((reading: Reading) => expansionIn(reading).opaque, sameMembers);
const circlesIn = query((reading: Reading) => expansionIn(reading).circles, sameMembers);
const tooManyIn = query((reading: Reading) => expansionIn(reading).tooMany);
const stepsByIdIn = query((reading: Reading) => new Map(stepsIn(reading).map((step) => [step.id, step])));
const indexIn = query((reading: Reading) => {
  const byId = new Map<string, Operation>();
  const byStep: Operation[][] = [];
  const byTask = new Map<string, Operation[]>();
  for (const operation of operationsIn(reading)) {
    if (!byId.has(operation.id)) byId.set(operation.id, operation);
    (byStep[operation.planStep.position] ??= []).push(operation);
    gather(byTask, operation.taskId, operation);
  }
  return { byId, byStep, byTask };
});

/** The lines of a section, the same list as long as the section is. */
const linesIn = <T extends object, L>(
  key: keyof RepairPlan & string,
  read: (node: MapNode<T>) => L | undefined,
): Query<Reading, readonly L[]> =>
  query((reading: Reading) =>
    mapsIn<T>(planSection(reading, key) as Located<T[]> | undefined).flatMap((node) => read(node) ?? []),
  );

const readLabour = once((node: LabourLine['node']): LabourLine => ({
  node,
  for: readIds(node.get('for')),
  task: readText(node.get('task')),
  hours: asNumber(node.get('hours')?.value),
  basis: node.get('basis')?.value,
  reference: node.entry('reference') && (node.get('reference')?.value ?? ''),
}));

const readMaterial = once((node: MaterialLine['node']): MaterialLine => ({
  node,
  for: readIds(node.get('for')),
  item: readText(node.get('item')),
  quantity: asNumber(node.get('quantity')?.value),
}));

const readMeasurement = once((node: Measurement['node']): Measurement | undefined => {
  const connector = readText(node.get('connector'));
  return (
    connector && {
      node,
      connector,
      kind: node.get('kind')?.value ?? 'contact-resistance',
      method: node.get('method')?.value,
      value: readQuantity('resistance', node.get('value')),
      uncertainty: readQuantity('resistance', node.get('uncertainty')),
      at: readQuantity('temperature', node.get('at')),
    }
  );
});

const readAcceptance = once((node: Acceptance['node']): Acceptance | undefined => {
  const finding = readText(node.get('finding'));
  return finding && { node, finding, at: readText(node.get('at')), until: readText(node.get('until')) };
});

function byStep<L extends Pick<LabourLine, 'for'>>(lines: readonly L[]): ReadonlyMap<string, readonly L[]> {
  const found = new Map<string, L[]>();
  for (const line of lines) for (const { value } of line.for) gather(found, value, line);
  return found;
}

const asNumber = (value: unknown): number | undefined => (typeof value === 'number' ? value : undefined);

const labourIn = linesIn('labour', readLabour);
const materialsIn = linesIn('materials', readMaterial);
const labourByStepIn = query((reading: Reading) => byStep(labourIn(reading)));
const materialsByStepIn = query((reading: Reading) => byStep(materialsIn(reading)));
const measurementsIn = linesIn('measurements', readMeasurement);
const acceptedIn = linesIn('accepted', readAcceptance);
const signedIn = linesIn('sign-offs', (node: MapNode<Raw<'sign-offs'>>) => node.get('role')?.value);
const heatBudgetIn = query((reading: Reading) =>
  readQuantity('power', planSection(reading, 'heat-budget') as ScalarNode<unknown> | undefined),
);
const vehicleIn = query((reading: Reading) =>
  readVehicle(keySpanIn('vehicle')(reading), planSection(reading, 'vehicle')),
);
