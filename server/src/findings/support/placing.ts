/** Where in the plan as a whole a fix puts its work: into a step that is there, or before the vehicle wakes up. */
import { andList, say } from '../../language/phrase.ts';
import { addIds } from '../../document/edits.ts';
import type { Edit } from '../../text/span.ts';
import type { Operation } from '../../plan/operations.ts';
import { stepsAtIsolating } from '../../plan/high-voltage.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Step } from '../../plan/steps.ts';
import { sequenceOf } from '../../sequence/lives.ts';
import type { Fix } from '../finding.ts';
import { fix, onlyAfter } from './mending.ts';
import { mayTakeOn } from './people.ts';
import { named } from './words.ts';

/** Whether a step is written in the plan itself and lists connectors, so that another one can join them. */
const isOpenToMore = ({ step, planStep, connectors }: Operation): boolean =>
  step === planStep && connectors.length > 0 && !step.node.partlyParsed;

/** Connectors that some step handles together with this one: they are worked on at one place by one person. */
function companionsOf(plan: Plan, connector: string): ReadonlySet<string> {
  const operations = sequenceOf(plan).life(connector)?.operations ?? [];
  const together = operations.filter(({ taskId }) => taskId === 'disconnect' || taskId === 'reconnect');
  return new Set(together.flatMap(({ connectors }) => connectors.map(({ value }) => value)));
}

/** The steps of a task that connectors may join, because others that are worked on with them are in it. */
export function stepsToJoin(
  plan: Plan,
  task: string,
  ids: readonly string[],
  suits: (operation: Operation) => boolean,
): readonly Operation[] {
  return plan.operationsDoing(task).filter((operation) => {
    const named = new Set(operation.connectors.map(({ value }) => value));
    return (
      isOpenToMore(operation) &&
      suits(operation) &&
      ids.every((id) => !named.has(id) && [...companionsOf(plan, id)].some((other) => named.has(other)))
    );
  });
}

/** The steps that check seats and can check these as well, the last first. */
export const seatChecksToJoin = (
  plan: Plan,
  suits: (operation: Operation) => boolean,
): readonly Operation[] =>
  [...plan.operationsDoing('check-seated')]
    .filter((operation) => isOpenToMore(operation) && suits(operation))
    .sort((a, b) => sequenceOf(plan).order.compare(b, a));

/** Adds connectors to the steps that do the same for others. */
const join = (plan: Plan, operation: Operation, ids: readonly string[]): Edit => {
  const known = new Set(operation.connectors.map(({ value }) => value));
  return addIds(
    plan.document,
    operation.step.node,
    'connectors',
    ids.filter((id) => !known.has(id)),
  );
};

/** "Add front-radar to op70 (checking that connectors are fully seated)", one way for each step. */
export const joinWays = (
  plan: Plan,
  operations: readonly Operation[],
  ids: readonly string[],
): readonly (Fix | undefined)[] =>
  operations
    .filter(({ by, taskId }) => mayTakeOn(plan, by?.value, taskId, ids))
    .map((operation) => fix(say`Add ${andList(ids)} to ${named(operation)}`, [join(plan, operation, ids)]));

/** Ways to make a step wait for one that is there and only too loosely ordered. */
export const looseWays = (
  plan: Plan,
  step: Operation,
  makers: readonly Operation[],
): readonly (Fix | undefined)[] =>
  makers
    .filter((maker) => maker.planStep !== step.planStep && sequenceOf(plan).order.unordered(maker, step))
    .map((maker) => onlyAfter(plan, step, maker));

/** Steps from which on somebody may meet a live vehicle. */
const waking = ['lock-out-off', 'battery-12v-on', 'support-12v'];

/**
 * The steps before which work at the connectors must be done, best first: where the lock comes off, 12 V comes on or a
 * connector whose opening is the isolation is closed before `gate`, then the gate itself.
 * @param others what the work has to come after
 */
export function beforeWaking(plan: Plan, gate: Operation, others: readonly Operation[]): readonly Step[] {
  const { order } = sequenceOf(plan);
  const steps = [
    ...waking.flatMap((task) => plan.operationsDoing(task)),
    ...stepsAtIsolating(plan, 'reconnect'),
  ]
    .filter((operation) => order.before(operation, gate))
    .filter((operation) =>
      others.every((other) => !order.before(operation, other) && operation.planStep !== other.planStep),
    )
    .sort((a, b) => order.compare(a, b));
  return [...new Set([...steps.map(({ planStep }) => planStep), gate.planStep])];
}
