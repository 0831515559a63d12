/** Of several people who lock the high-voltage system out: whether the taking off of one lock leaves another's on. */
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import { reviving } from '../../plan/tables/effects.ts';
import { sequenceOf } from '../lives.ts';
import type { OperationOrder } from '../operation-order.ts';

/** Whether a removal may be that of a lock: by the same person, or one of the two names nobody. */
export const isOwn = (lock: Operation, removal: Operation): boolean =>
  !lock.by || !removal.by || lock.by.value === removal.by.value;

/** Whether a step may come between a lock and another step. */
const mayLieBetween = (order: OperationOrder, lock: Operation, step: Operation, end: Operation): boolean =>
  step !== end && !order.before(step, lock) && !order.before(end, step);

/** Whether a lock is certain to be on when a step starts. A lock comes off by its owner's hand. */
export const isLockOn = (
  order: OperationOrder,
  lock: Operation,
  step: Operation,
  removals: readonly Operation[],
): boolean =>
  order.before(lock, step) &&
  !removals.some((removal) => isOwn(lock, removal) && mayLieBetween(order, lock, removal, step));

/**
 * Whether the isolation may end with a removal. It does not where its person takes off a lock of their own, and another person's
 * lock, hung after the isolation, is certain to be on until that person takes it off later.
 * @param isolating the steps that isolate the system
 */
export function isLastLock(removal: Operation, plan: Plan, isolating: readonly Operation[]): boolean {
  const person = removal.by?.value;
  const locks = plan.operationsDoing('lock-out');
  if (person === undefined || locks.length < 2) return true;
  const { order } = sequenceOf(plan);
  const removals = plan.operationsDoing('lock-out-off');
  const isOn = (lock: Operation): boolean => isLockOn(order, lock, removal, removals);
  const holds = (lock: Operation): boolean => {
    const owner = lock.by?.value;
    return (
      owner !== undefined &&
      owner !== person &&
      isOn(lock) &&
      removals.some((other) => other.by?.value === owner && order.before(removal, other)) &&
      isolating.some((step) => order.before(step, lock)) &&
      !reviving.some(
        (task) =>
          task !== 'lock-out-off' &&
          plan.operationsDoing(task).some((step) => mayLieBetween(order, lock, step, removal)),
      )
    );
  };
  return !(locks.some((lock) => lock.by?.value === person && isOn(lock)) && locks.some(holds));
}
