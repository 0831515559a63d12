/** Steps with a tool in the metal: by a built-in task, or by one of the shop's that raises what such tools raise. */
import type { Operation } from '../../plan/operations.ts';
import { operationsWhere } from '../../plan/plan.ts';
import type { Plan } from '../../plan/plan.ts';
import { ofToolsInMetal } from '../../plan/tables/needs.ts';
import { builtInTasks } from '../../plan/tables/tasks.ts';
import type { Hazard } from '../../plan/tables/tasks.ts';

/** Whether a step does a task that the shop has added. */
export const isOwnTask = ({ task, taskId }: Operation): boolean =>
  task !== undefined && !builtInTasks.has(taskId);

const isOwnTool = ({ task }: Operation): boolean =>
  task !== undefined && !task.needsStated && task.raises.some((hazard) => ofToolsInMetal.has(hazard));

/** A task of the shop's own that pulls at metal, as its row says: it undoes an inspection of the traction battery. */
const isOwnPull = (operation: Operation): boolean =>
  isOwnTask(operation) && operation.task!.ends.includes('battery-checked');

/** @param tasks the built-in ones */
export const stepsWithTools = (plan: Plan, tasks: ReadonlySet<string>): Operation[] => [
  ...[...tasks].flatMap((task) => plan.operationsDoing(task)),
  ...ownTools(plan),
  ...(tasks.has('straighten') ? ownPulls(plan) : []),
];

const ownTools = operationsWhere(isOwnTool);
const ownPulls = operationsWhere(isOwnPull);

/** Whether a step is among `stepsWithTools`. */
export const hasTool = (operation: Operation, tasks: ReadonlySet<string>): boolean =>
  tasks.has(operation.taskId) || isOwnTool(operation) || (tasks.has('straighten') && isOwnPull(operation));

/** Steps of the shop's own tasks that raise heat and do not say what they need: a heat gun, a lamp, a torch. */
export const ownHeating = operationsWhere(
  ({ task }) => task !== undefined && !task.needsStated && task.raises.includes('heat'),
);

/** The same of an arc or a flame that throws sparks, such as spot welding or a plasma cutter. */
export const ownWelding = operationsWhere(
  ({ task }) =>
    task !== undefined &&
    !task.needsStated &&
    task.raises.includes('heat') &&
    task.raises.includes('spatter'),
);

/** The built-in tasks, and those of the shop's own that raise one of these hazards and do not say what they need. */
export const withOwn = (
  { scope }: Plan,
  tasks: ReadonlySet<string>,
  ...hazards: readonly Hazard[]
): ReadonlySet<string> =>
  new Set([
    ...tasks,
    ...[...scope.tasks.values()].flatMap(({ id, needsStated, raises }) =>
      !needsStated && hazards.some((hazard) => raises.includes(hazard)) ? [id] : [],
    ),
  ]);
