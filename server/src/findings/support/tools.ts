/** Steps with a tool in the metal: by a built-in task, or by one of the shop's that raises what such tools raise. */
import type { Operation } from '../../plan/operations.ts';
import { operationsWhere } from '../../plan/plan.ts';
import type { Plan } from '../../plan/plan.ts';
import type { FactId } from '../../plan/tables/effects.ts';
import {
  heatsLines,
  madeByHand,
  needsAgainst,
  ofToolsInMetal,
  sparksAtFuel,
} from '../../plan/tables/needs.ts';
import type { OwnDanger } from '../../plan/tables/needs.ts';
import { touchesByName, weldsByName } from '../../plan/tables/own-names.ts';
import { builtInTasks } from '../../plan/tables/tasks.ts';
import type { Hazard, Task } from '../../plan/tables/tasks.ts';

/** Whether a step does a task that the shop has added. */
export const isOwnTask = ({ task, taskId }: Operation): boolean =>
  task !== undefined && !builtInTasks.has(taskId);
/** The steps that do one. */
export const ownSteps = operationsWhere(isOwnTask);
/** Body and paint work at parts off the vehicle. */
export const stepsOffVehicle = operationsWhere(({ offVehicle }) => offVehicle);
/** Bakes of the vehicle, not of a part off it. */
export const bakesOfVehicle = operationsWhere(({ taskId, offVehicle }) => taskId === 'bake' && !offVehicle);

/**
 * Whether nothing says what a task of the shop's own needs against a danger: its row has no `needs`, or needs of other kinds
 * only. `needs: []` says that it needs nothing, which nobody can say of sparks at fuel.
 */
export const isSilentOn = (danger: OwnDanger, { id, needs, needsStated, raises }: Task): boolean =>
  !builtInTasks.has(id) &&
  (needs.length > 0
    ? !needs.some((fact) => needsAgainst[danger].has(fact))
    : !needsStated || ((danger === 'lines' || danger === 'vapour') && raises.includes('spatter')));

/** Whether a step does a built-in task, or one of the shop's own whose row makes one of these facts. */
export function actsAs(builtIn: string, ...facts: readonly FactId[]): (step: Operation) => boolean {
  return ({ task, taskId }) =>
    taskId === builtIn || (task?.makes.some((fact) => facts.includes(fact)) ?? false);
}

/** Whether a step puts the voltage of an insulation test on: by the built-in task, or by one of the shop's own, as its row says. */
export const testsInsulation = actsAs('measure-insulation', 'insulation-proven');
export const insulationTests = operationsWhere(testsInsulation);

/** Whether a task of the shop's own puts hands on the connectors that a step names, by its name or by what its row makes. */
export const isByHand = ({ id, makes }: Task): boolean =>
  touchesByName(id) || makes.some((fact) => madeByHand.has(fact));

const isOwnTool = ({ task }: Operation, danger: OwnDanger): boolean =>
  task !== undefined && task.raises.some((hazard) => ofToolsInMetal.has(hazard)) && isSilentOn(danger, task);

/** A task of the shop's own that pulls at metal, as its row says: it undoes an inspection of the traction battery. */
const isOwnPull = (operation: Operation): boolean =>
  isOwnTask(operation) && operation.task!.ends.includes('battery-checked');

/** Whether a step pulls at metal. */
export const isPull = (operation: Operation): boolean =>
  operation.taskId === 'straighten' || isOwnPull(operation);

/** @param tasks the built-in ones */
export const stepsWithTools = (
  plan: Plan,
  tasks: ReadonlySet<string>,
  danger: 'cables' | 'battery',
): Operation[] => [
  ...[...tasks].flatMap((task) => plan.operationsDoing(task)),
  ...ownTools[danger](plan),
  ...(tasks.has('straighten') ? ownPulls(plan) : []),
];

const ownTools = {
  cables: operationsWhere((operation) => isOwnTool(operation, 'cables')),
  battery: operationsWhere((operation) => isOwnTool(operation, 'battery')),
};
const ownPulls = operationsWhere(isOwnPull);
export const stepsThatPull = operationsWhere(isPull);

/** Whether a step is among `stepsWithTools`. */
export const hasTool = (operation: Operation, tasks: ReadonlySet<string>, danger: OwnDanger): boolean =>
  tasks.has(operation.taskId) ||
  isOwnTool(operation, danger) ||
  (tasks.has('straighten') && isOwnPull(operation));

/** Steps of the shop's own tasks that raise heat and do not say what they need at the battery: a heat gun, a lamp, a torch. */
export const ownHeating = operationsWhere(
  ({ task }) => task !== undefined && task.raises.includes('heat') && isSilentOn('battery', task),
);

/** The same of an arc or a flame that throws sparks, by its row or its name, such as spot welding or a plasma cutter, as far as its current goes. */
export const ownWelding = operationsWhere(({ task }) => {
  if (task === undefined || !isSilentOn('welding-current', task)) return false;
  const raised = arc.filter((hazard) => task.raises.includes(hazard));
  return raised.length === arc.length || (raised.length > 0 && weldsByName(task.id));
});
const arc: readonly Hazard[] = ['heat', 'spatter'];

/** The built-in tasks, and those of the shop's own that raise one of these hazards and do not say what they need against a danger. */
export const withOwn = (
  { scope }: Plan,
  tasks: ReadonlySet<string>,
  danger: OwnDanger,
  ...hazards: readonly Hazard[]
): ReadonlySet<string> =>
  new Set([
    ...tasks,
    ...[...scope.tasks.values()].flatMap((task) =>
      hazards.some((hazard) => task.raises.includes(hazard)) && isSilentOn(danger, task) ? [task.id] : [],
    ),
  ]);

/** The tasks whose heat or sparks light fuel, or the vapour that is left of it. */
export const fuelLighting = (plan: Plan, danger: 'lines' | 'vapour' = 'lines'): ReadonlySet<string> =>
  withOwn(plan, new Set([...heatsLines, ...sparksAtFuel]), danger, 'heat', ...ofToolsInMetal);
