import { addToGroup } from '../../../base/collections.ts';
import { say } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import { stepsAtIsolating } from '../../../plan/high-voltage.ts';
import { query } from '../../../incremental/query.ts';
import { SnapshotPlan } from '../../../plan/plan.ts';
import type { Plan } from '../../../plan/plan.ts';
import type { Snapshot } from '../../../plan/snapshot.ts';
import { sequenceOf } from '../../../sequence/lives.ts';
import type { OperationOrder } from '../../../sequence/operation-order.ts';
import { isOwn } from '../../../sequence/facts/last-lock.ts';
import { lockRemovalsIn, locksIn } from '../../support/locks.ts';
import { fix, insertBefore, onlyAfter } from '../../support/mending.ts';
import type { NewStep } from '../../support/mending.ts';
import { alsoAt, andAt, told } from '../../support/needs.ts';
import { traceAt, named } from '../../support/words.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

export const lockLeftOn: FindingRule = {
  id: 'lock-left-on',
  title: say`Powered up while a lock is still on`,
  severity: 'error',
  page: () => ({
    means: say`The high-voltage system is locked out, and the vehicle is powered up, run, jump-started, charged, moved or road-tested, or somebody else closes a connector whose opening is the isolation, before it is certain that the lock is taken off by the person who put it on. It is a warning where nothing shows that somebody else powers the vehicle up: the lock is the only one, and its owner does it, or one of the two is not named.`,
    why: say`A lock that is forced or forgotten protects nobody, and whoever still works behind it does not know that the vehicle comes alive.`,
    whatToDo: say`Add a \`lock-out-off\` step by the person who put the lock on, when everybody is clear of the vehicle and before the power comes on.`,
    source: say`by analogy, 29 CFR 1910.147(e): before energy is restored, people are clear and each lock is removed by the employee who applied it; its scope does not reach every workshop (from memory)`,
    example: {
      wrong: `operations:
  - { id: op10, do: isolate, by: technician-a }
  - { id: op12, do: lock-out, by: technician-a }
  - { id: op90, do: power-up, by: technician-b }
`,
      right: `operations:
  - { id: op10, do: isolate, by: technician-a }
  - { id: op12, do: lock-out, by: technician-a }
  - { id: op80, do: lock-out-off, by: technician-a }
  - { id: op90, do: power-up, by: technician-b }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check(subject) {
    const { plan, sequence } = subject;
    const { order, gates } = sequence;
    const locks = locksIn(plan);
    const removals = lockRemovalsIn(plan);
    const groups = new Map<Operation, Operation[]>();
    const closing = new Set(stepsAtIsolating(plan, 'reconnect'));
    for (const gate of [...gates, ...closing]) {
      if (gate.taskId === 'deliver') continue;
      const takers = takersAt(plan, order, gate);
      const lock = locks.find((operation) => isOn(order, operation, gate, takers, removals));
      if (lock && (!closing.has(gate) || isOfAnother(plan, lock, gate))) addToGroup(groups, lock, gate);
    }
    for (const [lock, all] of groups) {
      const steps = all.sort((a, b) => order.compare(a, b));
      for (const { first, others } of told(subject, 'lock-left-on', [{ culprit: lock, steps }])) {
        const owner = lock.by?.value;
        const ready = removals.find(
          (operation) =>
            order.before(lock, operation) && !order.before(first, operation) && isOwn(lock, operation),
        );
        yield {
          at: first.span,
          operation: first.id,
          ...(steps.some((gate) => isOfAnother(plan, lock, gate)) ? {} : { severity: 'warning' as const }),
          message: owner
            ? say`${named(first)} comes while the lock of ${owner} from ${lock.id} may still be on: a lock that is forced protects nobody, and somebody may still be at work behind it. Have ${owner} take it off before ${first.id}, with everybody clear of the vehicle.`
            : say`${named(first)} comes while the lock from ${lock.id} may still be on: a lock that is forced protects nobody, and somebody may still be at work behind it. Have its owner take it off before ${first.id}, with everybody clear of the vehicle.`,
          ...andAt(others),
          trace: [traceAt(lock, say`${named(lock)}: locked from here`), ...alsoAt(others)],
          fixes: () => {
            const place = atIsolating(plan, order, lock, first) ?? first;
            const taking: NewStep = {
              task: 'lock-out-off',
              fields: owner === undefined ? [] : [['by', owner]],
              by: 'nobody',
            };
            return [
              [
                ready && onlyAfter(plan, first, ready),
                removals.some((operation) => isOwn(lock, operation) && order.before(lock, operation)) ||
                isWorkOpen(plan, order, lock, place)
                  ? undefined
                  : fix(
                      say`Take the lock off before ${place.planStep.id}`,
                      insertBefore(plan, place.planStep, [taking], [lock.planStep]),
                    ),
              ],
            ];
          },
        };
      }
    }
  },
};

/** The first step between lock and gate that readies or closes a connector whose opening is the isolation: the lock comes off before it. */
function atIsolating(
  plan: Plan,
  order: OperationOrder,
  lock: Operation,
  gate: Operation,
): Operation | undefined {
  const between = (task: string): readonly Operation[] =>
    stepsAtIsolating(plan, task).filter((step) => order.before(lock, step) && order.before(step, gate));
  const closed = new Set(
    between('reconnect').flatMap(({ connectors }) => connectors.map(({ value }) => value)),
  );
  const [first] = ['uncover', 'inspect', 'reconnect']
    .flatMap(between)
    .filter((step) => step.connectors.some(({ value }) => closed.has(value)))
    .sort((a, b) => order.compare(a, b));
  return first;
}

/**
 * Whether the lock is certain to be another's than that of whoever powers the vehicle up, or one of several: then it is
 * forced, or taken off by somebody who cannot know whether a hand is behind it.
 */
const isOfAnother = (plan: Plan, lock: Operation, gate: Operation): boolean =>
  lock.by !== undefined &&
  ((gate.by !== undefined && gate.by.value !== lock.by.value) ||
    locksIn(plan).some(({ by }) => by !== undefined && by.value !== lock.by!.value));

/** Whether something behind the lock may still go on when `gate` starts: then nobody is led to take the lock off. */
const isWorkOpen = ({ operations }: Plan, order: OperationOrder, lock: Operation, gate: Operation): boolean =>
  operations.some(
    (operation) =>
      operation !== gate &&
      order.before(lock, operation) &&
      !order.before(operation, gate) &&
      !order.before(gate, operation),
  );

/** By who took it off: the locks behind which somebody, the owner of another lock, is certain not to work any more. */
type Takers = (owner: string | undefined) => ReadonlyMap<string, readonly Operation[]>;

/** Whether a lock may still be on when `gate` starts. */
const isOn = (
  order: OperationOrder,
  lock: Operation,
  gate: Operation,
  takers: Takers,
  removals: readonly Operation[],
): boolean =>
  !order.before(gate, lock) &&
  !removals.some((removal) => {
    if (!order.before(lock, removal) || !order.before(removal, gate)) return false;
    if (isOwn(lock, removal)) return true;
    // Somebody who hung no lock takes off another's (`lock-of-another`); the lock of the next shift took the earlier one's place.
    const theirs = takers(lock.by?.value).get(removal.by!.value);
    return (
      theirs === undefined ||
      theirs.some((operation) => order.before(lock, operation) && order.before(operation, removal))
    );
  });

const handwork = query((reading: Snapshot): ReadonlyMap<string | undefined, readonly Operation[]> => {
  const plan = new SnapshotPlan(reading);
  const { order } = sequenceOf(plan);
  const found = new Map<string | undefined, Operation[]>();
  for (const operation of plan.operations)
    if (operation.task?.handsOn && !operation.task.gate) addToGroup(found, operation.by?.value, operation);
  for (const all of found.values()) all.sort((a, b) => order.compare(a, b));
  return found;
});

/** Looked up once for each owner: in a long plan many locks meet many gates. */
function takersAt(plan: Plan, order: OperationOrder, gate: Operation): Takers {
  const known = new Map<string | undefined, ReadonlyMap<string, readonly Operation[]>>();
  return (owner) => {
    const met = known.get(owner);
    if (met) return met;
    const work = (handwork(plan.reading).get(owner) ?? []).filter((one) => !order.before(gate, one));
    const found = new Map<string, Operation[]>();
    for (const lock of locksIn(plan)) {
      if (!lock.by) continue;
      const theirs = found.get(lock.by.value) ?? [];
      found.set(lock.by.value, theirs);
      // Mostly the last work is the one that comes later.
      if (!work.findLast((one) => !order.before(one, lock))) theirs.push(lock);
    }
    known.set(owner, found);
    return found;
  };
}
