/** Steps with a tool in the metal: by a built-in task, or by one of the shop's that raises what such tools raise. */
import type { Operation } from '../../plan/operations.ts';
import { operationsWhere } from '../../plan/plan.ts';
import type { Plan } from '../../plan/plan.ts';
import { ofToolsInMetal } from '../../plan/tables/needs.ts';
import { builtInTasks } from '../../plan/tables/tasks.ts';
import type { Hazard } from '../../plan/tables/tasks.ts';

/** @param tasks the built-in ones */
export const stepsWithTools = (plan: Plan, tasks: ReadonlySet<string>): Operation[] => [
  ...[...tasks].flatMap((task) => plan.operationsDoing(task)),
  ...ownTools(plan),
  ...(tasks.has('straighten') ? ownPulls(plan) : []),
];

/** Steps of the shop's own tasks that pull at metal, as their row says: they undo an inspection of the traction battery. */
const ownPulls = operationsWhere(
  ({ task, taskId }) =>
    task !== undefined && !builtInTasks.has(taskId) && task.ends.includes('battery-checked'),
);

const ownTools = operationsWhere(
  ({ task }) =>
    task !== undefined && !task.needsStated && task.raises.some((hazard) => ofToolsInMetal.has(hazard)),
);

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
