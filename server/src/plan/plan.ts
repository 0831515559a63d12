import type { Document } from '../document/document.ts';
import { once } from '../document/once.ts';
import { mapsIn } from '../document/node.ts';
import type { ListNode, MapNode } from '../document/node.ts';
import type { RepairPlan } from '../generated/repair-plan.ts';
import { expand } from './operations.ts';
import type { Expansion, Operation, Step } from './operations.ts';
import { readIds, readQuantity, readText } from './read.ts';
import type { At, Quantity } from './read.ts';
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
  readonly root: MapNode<RepairPlan> | undefined;
  readonly scope: Scope;
  /** By operation id, as in `op20` or `op10/lock`; the first of two that share an id. */
  operation(id: string): Operation | undefined;
  /** The operations of one entry of the plan's own list: one, or those of the procedure it follows. */
  operationsOf(step: Step): readonly Operation[];
  /** The operations that do a task, in the order of the text. */
  doing(task: string): readonly Operation[];
  readonly labour: readonly LabourLine[];
  readonly materials: readonly MaterialLine[];
  readonly measurements: readonly Measurement[];
  readonly accepted: readonly Acceptance[];
  readonly heatBudget: Quantity | undefined;
  readonly vehicle: Vehicle | undefined;
  /** The roles that someone has signed for. */
  readonly signed: readonly string[];
}

/** Reads a plan, or a procedure by itself (which then has operations and nothing else). */
export function buildPlan(scope: Scope): Plan {
  const { document } = scope;
  const root = document.kind === 'repair-plan' ? (document as Document<'repair-plan'>).root : undefined;
  const expansion = expand(scope);
  const byId = new Map<string, Operation>();
  const byStep = new Map<Step, Operation[]>();
  const byTask = new Map<string, Operation[]>();
  for (const operation of expansion.operations) {
    if (!byId.has(operation.id)) byId.set(operation.id, operation);
    gather(byStep, operation.planStep, operation);
    gather(byTask, operation.taskId, operation);
  }
  return {
    ...expansion,
    document,
    root,
    scope,
    operation: (id) => byId.get(id),
    operationsOf: (step) => byStep.get(step) ?? [],
    doing: (task) => byTask.get(task) ?? [],
    labour: lines(root?.get('labour'), readLabour),
    materials: lines(root?.get('materials'), readMaterial),
    measurements: lines(root?.get('measurements'), readMeasurement),
    accepted: lines(root?.get('accepted'), readAcceptance),
    heatBudget: readQuantity('power', root?.get('heat-budget')),
    vehicle: readVehicle(root),
    signed: lines(root?.get('sign-offs'), (node) => node.get('role')?.value),
  };
}

const readLabour = once((node: LabourLine['node']): LabourLine => ({
  node,
  for: readIds(node.get('for')),
  task: readText(node.get('task')),
  hours: asNumber(node.get('hours')?.value),
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

function gather<K, V>(groups: Map<K, V[]>, key: K, value: V): void {
  const group = groups.get(key);
  if (group) group.push(value);
  else groups.set(key, [value]);
}

const asNumber = (value: unknown): number | undefined => (typeof value === 'number' ? value : undefined);

/** The readable entries of a list, each turned into a line. */
function lines<T extends object, L>(
  list: ListNode<T> | undefined,
  read: (node: MapNode<T>) => L | undefined,
): L[] {
  return mapsIn<T>(list).flatMap((node) => read(node) ?? []);
}
