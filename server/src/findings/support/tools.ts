/** Steps with a tool in the metal: by a built-in task, or by one of the shop's that raises what such tools raise. */
import type { Operation } from '../../plan/operations.ts';
import { operationsWhere } from '../../plan/plan.ts';
import type { Plan } from '../../plan/plan.ts';
import { ofToolsInMetal } from '../../plan/tables/needs.ts';

/** @param tasks the built-in ones */
export const stepsWithTools = (plan: Plan, tasks: ReadonlySet<string>): Operation[] => [
  ...[...tasks].flatMap((task) => plan.operationsDoing(task)),
  ...ownTools(plan),
];

const ownTools = operationsWhere(
  ({ task }) =>
    task !== undefined && !task.needsStated && task.raises.some((hazard) => ofToolsInMetal.has(hazard)),
);
