/** Hands on the vehicle while a step is under way that must be done alone. */
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import { movesTheVehicle, needs12V } from '../../plan/tables/needs.ts';
import { liftsByName, pushesByName, standsByByName } from '../../plan/tables/own-names.ts';
import type { OperationOrder } from '../../sequence/operation-order.ts';
import { say } from '../../language/phrase.ts';
import type { FindingReport } from '../finding.ts';
import { isOwnTask } from './tools.ts';
import { metBy, named, traceAt } from './words.ts';

/** Whether a step is told beside a use of the vehicle (`powered-beside`): by hand, unordered with it, and no part of using the vehicle. */
export const isBesideUse = (order: OperationOrder, use: Operation, step: Operation): boolean =>
  step !== use && step.task?.handsOn === true && !belongsToUse(step) && order.unordered(use, step);

/** Steps that belong to using the vehicle or moving it, and come beside such a step anyhow. */
export const belongsToUse = (operation: Operation): boolean =>
  needs12V.has(operation.taskId) ||
  operation.task?.gate === true ||
  movesVehicle(operation) ||
  standsBy(operation);

/** Whether a step is the shop's own and by its name of somebody who steers, watches or keeps people away. */
const standsBy = (operation: Operation): boolean =>
  isOwnTask(operation) && operation.task!.raises.length === 0 && standsByByName(operation.taskId);

/** Whether a step moves or lifts the vehicle, or its battery under it; of the shop's own tasks, by their names. */
export const movesVehicle = (operation: Operation): boolean =>
  movesTheVehicle.has(operation.taskId) ||
  (isOwnTask(operation) && (liftsByName(operation.taskId) || pushesByName(operation.taskId)));

export interface Beside {
  /** Hands-on steps that nothing orders before or after the step. */
  readonly all: readonly Operation[];
  /** Those among them on high voltage or restraints, where a surprise does the most harm. */
  readonly dangerous: readonly Operation[];
}

/**
 * @param harmless steps that belong to the step itself
 */
export function handsBeside(
  plan: Plan,
  order: OperationOrder,
  step: Operation,
  harmless: (other: Operation) => boolean = () => false,
): Beside {
  const all = plan.operations.filter(
    (other) =>
      other !== step &&
      other.task?.handsOn === true &&
      !harmless(other) &&
      order.unordered(step, other) &&
      !standsBy(other),
  );
  return { all, dangerous: all.filter((other) => handlesDanger(plan, other)) };
}

/** What a report says of the steps that nothing orders before or after its own: they meet it, and its trace names the first five. */
export const unorderedWith = (
  step: Operation,
  others: readonly Operation[],
): Pick<FindingReport, 'meets' | 'trace'> => ({
  ...metBy(others),
  trace: others
    .slice(0, 5)
    .map((other) => traceAt(other, say`${named(other)}: nothing orders it before or after ${step.id}`)),
});

const handlesDanger = ({ scope }: Plan, { connectors }: Operation): boolean =>
  connectors.some(({ value }) => {
    const kind = scope.connectors.get(value)?.class;
    return (
      kind === 'high-voltage-power' || kind === 'interlock' || kind === 'restraint' || kind === 'pyrotechnic'
    );
  });
