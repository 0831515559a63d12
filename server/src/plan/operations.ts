import { once } from '../document/once.ts';
import { cutter } from '../document/runs.ts';
import type { Span } from '../document/text.ts';
import type { QuantityName } from '../document/quantity.ts';
import type { Network, Part } from './network.ts';
import { readQuantity } from './read.ts';
import type { Bindings, Quantity } from './read.ts';
import type { Scope } from './scope.ts';
import { factsOf, unbound } from './steps.ts';
import type { Facts, Step } from './steps.ts';
import type { Task } from './tasks.ts';

/** One thing that is done, procedures expanded in place. */
export interface Operation extends Omit<Facts, 'id' | 'after' | 'follows'> {
  /** Its node in the order. Procedures have nodes of their own for their begin and end. */
  readonly index: number;
  /** `op20`, or `op10/lock` inside a procedure. */
  readonly id: string;
  readonly step: Step;
  /** The entry of the plan's own list it belongs to: itself, or the one that follows the procedure. */
  readonly planStep: Step;
  readonly span: Span;
  readonly task: Task | undefined;
  readonly bindings: Bindings;
}

/** A quantity that a step states beside its task, a procedure's parameter filled in. */
export const stepQuantity = (
  { step, bindings }: Operation,
  quantity: QuantityName,
  key: 'air-temperature' | 'panel-temperature' | 'hold-time' | 'meter-rating',
): Quantity | undefined => readQuantity(quantity, step.node.get(key), bindings);

/** A plan's steps, with the procedures that they follow unfolded. */
export interface Expansion extends Pick<Network, 'predecessors' | 'opaque' | 'circles'> {
  /** The plan's own list entries, in text order. */
  readonly steps: readonly Step[];
  readonly operations: readonly Operation[];
  /** The step of the plan at which the operations become too many. */
  readonly tooMany: Step | undefined;
}

/** What the operations of the steps are read with. */
type Surroundings = Pick<Scope, 'connectors' | 'tasks'>;

/** What is done, in the order of the text. */
export function operationsOf(
  steps: readonly Step[],
  network: Network,
  { connectors, tasks }: Surroundings,
): Operation[] {
  const operations: Operation[] = [];
  let first = 0;
  for (const run of runsOfSteps(steps)) {
    for (const operation of inRun(run, first, network, connectors, tasks)) operations.push(operation);
    first += run.length;
  }
  return operations;
}

const runsOfSteps = cutter<Step>();
const inRun = once(
  (
    run: readonly Step[],
    first: number,
    { own, within }: Network,
    connectors: Scope['connectors'],
    tasks: Scope['tasks'],
  ) =>
    run.flatMap((step, i) => {
      const index = own[first + i]!;
      return index >= 0
        ? ownOperation(step, index, connectors, tasks)
        : (within.get(first + i) ?? []).map((part) => partOperation(part, connectors, tasks));
    }),
);

const partOperation = once((part: Part, connectors: Scope['connectors'], tasks: Scope['tasks']) => {
  const facts = factsOf(part.step.node, part.bindings);
  return makeOperation(part, facts, tasks.get(facts.taskId), zonesNear(facts, connectors));
});

/** A plan's own step is the same operation as long as nothing about it changes. */
const ownOperation = once(
  (step: Step, index: number, connectors: Scope['connectors'], tasks: Scope['tasks']) => {
    const facts = factsOf(step.node, unbound);
    return sameOperation(step, index, tasks.get(facts.taskId), zonesNear(facts, connectors).join('\n'));
  },
);

/** @param near the zones of its connectors, a line each, for a step that names none */
const sameOperation = once((step: Step, index: number, task: Task | undefined, near: string) =>
  makeOperation(
    { step, planStep: step, index, bindings: unbound, prefix: '' },
    factsOf(step.node, unbound),
    task,
    near === '' ? [] : near.split('\n'),
  ),
);

/** The zones of the connectors of a step that names no zone. */
function zonesNear({ zones, connectors: named }: Facts, connectors: Scope['connectors']): readonly string[] {
  const near: string[] = [];
  if (zones.length > 0) return near;
  for (const { value } of named) {
    const zone = connectors.get(value)?.zone;
    if (zone !== undefined && !near.includes(zone)) near.push(zone);
  }
  return near;
}

function makeOperation(
  { step, planStep, index, bindings, prefix }: Part,
  { taskId, connectors, zones, halves, using, by, time }: Facts,
  task: Task | undefined,
  near: readonly string[],
): Operation {
  return {
    index,
    id: prefix + step.id,
    step,
    planStep,
    span: planStep.span,
    task,
    taskId,
    connectors,
    halves,
    zones: zones.length > 0 || near.length === 0 ? zones : near,
    using,
    by,
    time,
    bindings,
  };
}
