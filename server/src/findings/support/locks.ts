/** Steps that put a lock on the high-voltage system and take it off, by built-in tasks or as rows of the shop's say. */
import type { Operation } from '../../plan/operations.ts';
import { operationsWhere } from '../../plan/plan.ts';
import type { Plan } from '../../plan/plan.ts';
import { isLockOn, isOwn } from '../../sequence/facts/last-lock.ts';
import { soundingLike } from '../../sequence/facts/timeline.ts';
import type { OperationOrder } from '../../sequence/operation-order.ts';
import { isOwnTask } from './tools.ts';

export const locksIn = (plan: Plan): readonly Operation[] => [
  ...plan.operationsDoing('lock-out'),
  ...ownLocks(plan),
];

export const lockRemovalsIn = (plan: Plan): readonly Operation[] => [
  ...plan.operationsDoing('lock-out-off'),
  ...ownRemovals(plan),
  ...soundingLike(plan, 'lock-out-off'),
];

/** A task of the shop's that isolates as well makes the system safe as a whole, and one that undoes it says so at its other end. */
const ownLocks = operationsWhere(
  (operation) =>
    isOwnTask(operation) &&
    operation.task!.makes.includes('locked-out') &&
    !operation.task!.makes.includes('isolated'),
);
const ownRemovals = operationsWhere(
  (operation) => isOwnTask(operation) && operation.task!.ends.includes('locked-out'),
);

/** The locks that are certain to be on when a step starts, and those that may be; a lock comes off by its owner's hand. */
export function locksOn(
  plan: Plan,
  order: OperationOrder,
  step: Operation,
): { readonly certain: readonly Operation[]; readonly possible: readonly Operation[] } {
  const removals = lockRemovalsIn(plan);
  const possible = locksIn(plan).filter(
    (lock) =>
      order.before(lock, step) &&
      !removals.some(
        (removal) => isOwn(lock, removal) && order.before(lock, removal) && order.before(removal, step),
      ),
  );
  const certain = possible.filter((lock) => isLockOn(order, lock, step, removals));
  return { certain, possible };
}
