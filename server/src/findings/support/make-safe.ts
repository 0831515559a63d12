/** Fixes that make the high-voltage system safe, as one edit of the plan: what is there is kept, what is missing goes in once. */
import { mapsIn } from '../../document/node.ts';
import { andList, say } from '../../language/phrase.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Step } from '../../plan/steps.ts';
import { vehicleVerdict } from '../../sequence/facts/timeline.ts';
import { sequenceOf } from '../../sequence/lives.ts';
import { rangeOf } from '../../text/span.ts';
import type { Edit } from '../../text/span.ts';
import type { Fix } from '../finding.ts';
import { nearHighVoltage } from './cables.ts';
import { longerWait, proofToWaitFor, safeSteps, missingIsolationSteps } from './high-voltage.ts';
import type { IsolationState } from './high-voltage.ts';
import { highVoltageSteps } from './live-work.ts';
import { fix, insertBefore, moveStep, onlyAfter } from './mending.ts';
import type { NewStep } from './mending.ts';
import { personFor } from './people.ts';

type Owed = Pick<IsolationState, 'missing' | 'culprit'>;

/**
 * Ways to make the system safe before `target`, best first: wait for a proof that is there; put a missing link before the
 * one it belongs to; follow the shop's own procedure; write the steps.
 * @param more steps that go in with them, such as the disconnecting of the 12 V battery
 */
export function makeSafeWays(
  plan: Plan,
  target: Operation,
  owed: Owed,
  more: readonly NewStep[] = [],
): readonly (Fix | undefined)[] {
  const proof = proofToWaitFor(plan, sequenceOf(plan), target);
  // What a procedure of the shop leaves out is mended there; repeating its steps in the plan would hide that.
  if (more.length === 0 && !proof && isLeftOutInside(plan, target, owed)) return [];
  const places = new Set([firstInNeed(plan, target, owed.culprit).planStep, target.planStep]);
  return [
    more.length > 0 ? undefined : proof && onlyAfter(plan, target, proof),
    more.length > 0 ? undefined : lockFirst(plan, target, owed),
    more.length > 0 ? undefined : linkInPlace(plan, target, owed),
    ...[...places].flatMap((place) => [
      ...followWays(plan, place, [...safeSteps, ...more.map(({ task }) => task)]),
      fix(
        say`Make the high-voltage system safe before ${place.id}`,
        insertBefore(plan, place, [...more, ...missingIsolationSteps(plan, owed.missing)]),
      ),
    ]),
  ];
}

/** The first step that needs a dead system and has none for the same reason as `target`. */
function firstInNeed(plan: Plan, target: Operation, culprit: Operation | undefined): Operation {
  const { order } = sequenceOf(plan);
  const steps = [...highVoltageSteps(plan).map(({ operation }) => operation), ...nearHighVoltage(plan)];
  const inNeed = steps.filter((step) => {
    if (!order.before(step, target)) return false;
    const found = vehicleVerdict(plan, 'high-voltage-dead', step);
    return !found.met && (culprit === undefined || found.culprit === culprit);
  });
  return inNeed.reduce((first, step) => (order.compare(step, first) < 0 ? step : first), target);
}

/** Whether a procedure that is followed before `target` has a later link than the first one missing, and lacks that one. */
function isLeftOutInside(plan: Plan, target: Operation, { missing, culprit }: Owed): boolean {
  const { order } = sequenceOf(plan);
  const [first] = missing;
  const later: readonly string[] = safeSteps.slice(safeSteps.indexOf(first!) + 1);
  return later
    .flatMap((task) => plan.operationsDoing(task))
    .some(
      (operation) =>
        operation.step !== operation.planStep &&
        order.before(operation, target) &&
        (!culprit || order.before(culprit, operation)) &&
        plan.operationsOf(operation.planStep).every(({ taskId }) => taskId !== first),
    );
}

/** A lock that is put on only after the wait: it goes before the wait. */
function lockFirst(plan: Plan, target: Operation, { missing, culprit }: Owed): Fix | undefined {
  const { order } = sequenceOf(plan);
  if (missing[0] !== 'wait') return undefined;
  const inTime = (operation: Operation): boolean =>
    operation.step === operation.planStep &&
    order.before(operation, target) &&
    (!culprit || order.before(culprit, operation));
  const lock = plan.operationsDoing('lock-out').findLast(inTime);
  const wait = plan
    .operationsDoing('wait')
    .findLast((operation) => inTime(operation) && lock !== undefined && order.before(operation, lock));
  return lock && wait
    ? fix(say`Lock out before ${wait.planStep.id}`, moveStep(plan, lock.planStep, 'before', wait.planStep))
    : undefined;
}

/** The links that are missing, each before the link that follows it in the plan; undefined where one has none. */
function linkInPlace(plan: Plan, target: Operation, { missing, culprit }: Owed): Fix | undefined {
  const { order } = sequenceOf(plan);
  const edits: Edit[] = [];
  const places: string[] = [];
  for (const step of missingIsolationSteps(plan, missing)) {
    const { task } = step;
    if (!missing.some((one) => one === task)) continue;
    const later: readonly string[] = safeSteps.slice(safeSteps.indexOf(task as never) + 1);
    const next = later
      .filter((one) => !missing.some((other) => other === one))
      .flatMap((one) => plan.operationsDoing(one))
      .filter(
        (operation) => order.before(operation, target) && (!culprit || order.before(culprit, operation)),
      )
      .sort((a, b) => order.compare(a, b))[0];
    const place = next ?? (task === 'prove-dead' ? target : undefined);
    if (!place || place.step !== place.planStep) return undefined;
    places.push(place.id);
    edits.push(...insertBefore(plan, place.planStep, [step]));
  }
  const words = andList(missing.map((task) => plan.scope.tasks.get(task)?.doing ?? task));
  return fix(
    missing.length === 1
      ? say`Add the missing step before ${places[0]!}: ${words}`
      : say`Add the missing steps before ${andList([...new Set(places)])}: ${words}`,
    edits,
  );
}

/** Ways to disconnect the 12 V battery where the plan makes the vehicle safe for `target` anyway. */
export function offWithTheOthers(plan: Plan, target: Operation): readonly (Fix | undefined)[] {
  const { order } = sequenceOf(plan);
  const places = ['isolate', 'wait']
    .flatMap((task) => plan.operationsDoing(task))
    .filter((operation) => operation.step === operation.planStep && order.before(operation, target))
    .sort((a, b) => order.compare(a, b));
  return places.map(({ planStep }) =>
    fix(
      say`Disconnect the 12 V battery before ${planStep.id}`,
      insertBefore(plan, planStep, [{ task: 'battery-12v-off', fields: [], by: 'nobody' }]),
    ),
  );
}

/** Steps that follow a procedure of the shop which does all of `tasks`, one way for each such procedure. */
export function followWays(plan: Plan, target: Step, tasks: readonly string[]): readonly (Fix | undefined)[] {
  return [...plan.scope.procedures].map(([id, procedure]) => {
    const done = mapsIn(procedure.root?.get('operations')).map((node) => node.get('do')?.value);
    if (!tasks.every((task) => done.includes(task))) return undefined;
    const given = argumentsOf(plan, id, target);
    if (given === undefined) return undefined;
    const step: NewStep = { task: id, follows: true, fields: given ? [['with', given]] : [] };
    return fix(say`Follow ${id} before ${target.id}`, insertBefore(plan, target, [step]));
  });
}

/**
 * The values for a procedure's parameters: those of another step that follows it; else a person who may do it, and the
 * longer of the vehicle maker's two waits. Undefined where a parameter asks for anything else.
 */
function argumentsOf(plan: Plan, id: string, target: Step): string | undefined {
  const other = plan.steps.find(({ follows }) => follows?.value === id);
  const known = other?.node.entry('with')?.value;
  if (other) {
    if (!known) return '';
    const { start, end } = rangeOf(known.span);
    const text = plan.document.text.slice(start, end);
    return text.includes('\n') ? undefined : text;
  }
  const pairs: string[] = [];
  const procedure = plan.scope.procedures.get(id)!;
  for (const parameter of mapsIn(procedure.root?.get('parameters'))) {
    const name = parameter.get('name')?.value;
    if (name === undefined || parameter.entry('default')) continue;
    const kind = parameter.get('kind')?.value;
    const value =
      kind === 'person'
        ? personFor(plan, 'prove-dead', [], target.node.get('by')?.value)
        : kind === 'time'
          ? longerWait(plan)?.text
          : undefined;
    if (value === undefined) return undefined;
    pairs.push(`${name}: ${value}`);
  }
  return pairs.length > 0 ? `{ ${pairs.join(', ')} }` : '';
}
