/** Fixes that close a connector which a plan leaves open, where its author would have closed it. */
import { say } from '../../language/phrase.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Connector } from '../../plan/scope.ts';
import { classRules } from '../../plan/tables/classes.ts';
import type { ConnectorHistory } from '../../sequence/life.ts';
import { sequenceOf } from '../../sequence/lives.ts';
import type { Fix } from '../finding.ts';
import { fix, insertAfter, insertBefore, stepOn } from './mending.ts';
import type { NewStep } from './mending.ts';
import { beforeWaking, joinWays, stepsToJoin } from './placing.ts';

/** What is owed after closing and before the vehicle is used; the scan comes once it is powered. */
export const provedAfter = ({ class: kind, lock, isolates }: Connector): readonly string[] =>
  (kind ? classRules[kind].afterClosing : []).filter(
    (task) =>
      task !== 'scan' &&
      (task !== 'lock' || lock) &&
      // Once it is closed the system is live, and no meter goes to it.
      !(isolates && task.startsWith('measure-')),
  );

/** Work at the open contacts. */
const atTheContacts: ReadonlySet<string> = new Set(['cover', 'uncover', 'inspect', 'clean']);

/**
 * Ways to close a connector before `gate`, best first: together with others that are opened with it; after the last work at
 * its open contacts; before the first step that handles it closed; before the vehicle wakes up. What must come before and after the closing goes in with it.
 */
export function closingWays(
  plan: Plan,
  { connector, operations }: ConnectorHistory,
  opened: Operation,
  gate: Operation,
): readonly (Fix | undefined)[] {
  const { order } = sequenceOf(plan);
  const { id } = connector;
  const later = operations.filter((operation) => order.before(opened, operation));
  const bare = later.filter(({ taskId }) => atTheContacts.has(taskId));
  const handled = later
    .filter(
      (operation) => !bare.includes(operation) && bare.every((other) => !order.before(operation, other)),
    )
    .sort((a, b) => order.compare(a, b));
  const tasks = later.map(({ taskId }) => taskId);
  const steps = closingSteps(plan, connector, tasks);
  const joined = stepsToJoin(
    plan,
    'reconnect',
    [id],
    (operation) =>
      order.before(operation, gate) &&
      [opened, ...bare].every((other) => order.before(other, operation)) &&
      handled.every((other) => !order.before(other, operation)),
  );
  const [next] = handled;
  const last = [...bare].sort((a, b) => order.compare(a, b)).at(-1);
  const followers = [...handled, gate].map(({ planStep }) => planStep);
  const places = [
    ...(next ? [next.planStep] : []),
    // A connector whose opening is the isolation is closed once the lock is off.
    ...(connector.isolates ? [gate.planStep] : beforeWaking(plan, gate, [opened, ...later])),
  ];
  return [
    ...joinWays(plan, joined, [id]),
    last && last.taskId !== 'cover'
      ? fix(
          say`Reconnect ${id} after ${last.planStep.id}`,
          insertAfter(plan, last.planStep, steps, followers),
        )
      : undefined,
    ...[...new Set(places)].map((place) =>
      fix(
        say`Reconnect ${id} before ${place.id}`,
        insertBefore(
          plan,
          place,
          steps,
          [opened, ...(place === next?.planStep ? bare : later)].map(({ planStep }) => planStep),
        ),
      ),
    ),
  ];
}

/**
 * The steps that close a connector: the cover comes off, what comes before the closing, the closing, and what is owed after it.
 * @param tasks what is done to it since it was opened
 */
export function closingSteps(plan: Plan, connector: Connector, tasks: readonly string[]): readonly NewStep[] {
  const { id } = connector;
  const missing = (wanted: readonly string[]): readonly NewStep[] =>
    wanted.filter((task) => !tasks.includes(task)).map((task) => stepOn(task, id));
  return [
    ...(tasks.lastIndexOf('cover') > tasks.lastIndexOf('uncover') ? [stepOn('uncover', id)] : []),
    ...missing(connector.class ? classRules[connector.class].beforeClosing : []),
    stepOn('reconnect', id, sealOf(plan, connector)),
    ...missing(provedAfter(connector)),
  ];
}

/** The new seal that a connector takes, where the rate sheet has one. */
function sealOf(plan: Plan, { id, newSeal }: Connector): readonly (readonly [string, string])[] {
  const seal = newSeal
    ? [...plan.scope.consumables.values()].find(
        ({ kind, fits }) => kind === 'seal' && (fits.length === 0 || fits.includes(id)),
      )
    : undefined;
  return seal ? [['using', seal.id]] : [];
}
