/** Of several people who lock the high-voltage system out: whether the taking off of one lock leaves another's on. */
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import { reviving } from '../../plan/tables/effects.ts';
import { sequenceOf } from '../lives.ts';

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
  const mayLieBetween = (lock: Operation, step: Operation): boolean =>
    step !== removal && !order.before(step, lock) && !order.before(removal, step);
  const isBy = ({ by }: Operation, owner: string): boolean => by === undefined || by.value === owner;
  /** Whether a lock of the person is certain to be on when the removal starts. */
  const isOn = (lock: Operation, owner: string): boolean =>
    order.before(lock, removal) &&
    !removals.some((other) => isBy(other, owner) && mayLieBetween(lock, other));
  const holds = (lock: Operation): boolean => {
    const owner = lock.by?.value;
    return (
      owner !== undefined &&
      owner !== person &&
      isOn(lock, owner) &&
      removals.some((other) => other.by?.value === owner && order.before(removal, other)) &&
      isolating.some((step) => order.before(step, lock)) &&
      !reviving.some(
        (task) =>
          task !== 'lock-out-off' && plan.operationsDoing(task).some((step) => mayLieBetween(lock, step)),
      )
    );
  };
  return !(locks.some((lock) => lock.by?.value === person && isOn(lock, person)) && locks.some(holds));
}
