import { fastFlatMap } from '../base/collections.ts';
import { memoByIdentity } from '../incremental/memo.ts';
import { chunker } from '../incremental/chunks.ts';
import type { Span } from '../text/span.ts';
import type { QuantityName } from '../document/quantity.ts';
import { expandedSteps } from './network.ts';
import type { StepGraph, ExpandedStep } from './network.ts';
import { readQuantity } from './read.ts';
import type { Bindings, Quantity } from './read.ts';
import type { Scope } from './scope.ts';
import { fieldsOf } from './steps.ts';
import type { StepFields, Step } from './steps.ts';
import { doneOffVehicle } from './tables/needs.ts';
import { builtInTasks } from './tables/tasks.ts';
import type { Task } from './tables/tasks.ts';
import { offVehicle } from './tables/zones.ts';

/** One operation to carry out, after procedures have been expanded. */
export interface Operation extends Omit<StepFields, 'id' | 'after' | 'follows'> {
  /** `op20`, or `op10/lock` inside a procedure. */
  readonly id: string;
  readonly step: Step;
  /** The entry of the plan's own list it belongs to: itself, or the one that follows the procedure. */
  readonly planStep: Step;
  readonly span: Span;
  /** Of work at a part off the vehicle, without hands or reach on the vehicle. */
  readonly task: Task | undefined;
  /** Whether it is body or paint work at a part that is off the vehicle. */
  readonly offVehicle: boolean;
  readonly bindings: Bindings;
}

/** A quantity stated by a step, with procedure parameters substituted. */
export const stepQuantity = (
  { step, bindings }: Operation,
  quantity: QuantityName,
  key: 'air-temperature' | 'panel-temperature' | 'hold-time' | 'meter-rating' | 'test-voltage',
): Quantity | undefined => readQuantity(quantity, step.node.get(key), bindings);

/** A plan's steps, with the procedures that they follow unfolded. */
export interface Expansion extends Pick<StepGraph, 'unknownCalls' | 'recursiveCalls'> {
  /** The plan's own list entries, in text order. */
  readonly steps: readonly Step[];
  readonly operations: readonly Operation[];
  /** The step of the plan at which the operations become too many. */
  readonly firstOverLimit: Step | undefined;
}

/** The parts of the scope that operations depend on. */
type OperationScope = Pick<Scope, 'connectors' | 'tasks' | 'procedures'>;

/** What is done, in the order of the text. */
export function operationsOf(
  steps: readonly Step[],
  { connectors, tasks, procedures }: OperationScope,
): Operation[] {
  return fastFlatMap(runsOfSteps(steps), (run) => inRun(run, connectors, tasks, procedures));
}

const runsOfSteps = chunker<Step>();
const inRun = memoByIdentity(
  (
    run: readonly Step[],
    connectors: Scope['connectors'],
    tasks: Scope['tasks'],
    procedures: Scope['procedures'],
  ) =>
    fastFlatMap(run, (step) =>
      expandedSteps(step, procedures).map((part) => operationOf(part, connectors, tasks)),
    ),
);

const operationOf = memoByIdentity(
  (part: ExpandedStep, connectors: Scope['connectors'], tasks: Scope['tasks']) => {
    const facts = factsOfPart(part);
    return sameOperation(part, tasks.get(facts.taskId), zonesNear(facts, connectors).join('\n'));
  },
);

const factsOfPart = memoByIdentity(({ step, bindings }: ExpandedStep) => fieldsOf(step.node, bindings));

/**
 * Returns the same operation as long as its inputs are equal.
 * @param near the zones of its connectors, a line each, for a step that names none
 */
const sameOperation = memoByIdentity((part: ExpandedStep, task: Task | undefined, near: string) =>
  makeOperation(part, factsOfPart(part), task, near === '' ? [] : near.split('\n')),
);

/** The zones of the connectors of a step that names no zone. */
function zonesNear(
  { zones, connectors: named }: StepFields,
  connectors: Scope['connectors'],
): readonly string[] {
  const near: string[] = [];
  if (zones.length > 0) return near;
  for (const { value } of named) {
    const zone = connectors.get(value)?.zone;
    if (zone !== undefined && !near.includes(zone)) near.push(zone);
  }
  return near;
}

/** A bake and a wash reach all of the vehicle that they are done at; a shop that says so of another task is believed. */
const awayFromVehicle = memoByIdentity((task: Task): Task => ({
  ...task,
  handsOn: false,
  reach: builtInTasks.get(task.id)?.reach === 'everywhere' ? 'beside' : task.reach,
}));

function makeOperation(
  { step, planStep, bindings, prefix }: ExpandedStep,
  { taskId, connectors, zones, halves, using, by, time }: StepFields,
  task: Task | undefined,
  near: readonly string[],
): Operation {
  const isOff =
    connectors.length === 0 &&
    zones.length > 0 &&
    zones.every((zone) => zone === offVehicle) &&
    doneOffVehicle.has(taskId);
  return {
    id: prefix + step.id,
    step,
    planStep,
    span: planStep.span,
    task: task && isOff ? awayFromVehicle(task) : task,
    offVehicle: isOff,
    taskId,
    connectors,
    halves,
    zones: near.length > 0 ? near : zones,
    using,
    by,
    time,
    bindings,
  };
}
