import { setKey } from '../../document/edits.ts';
import { say } from '../../language/phrase.ts';
import { bothHalves } from '../../plan/steps.ts';
import type { ConnectorHistory } from '../../sequence/life.ts';
import { sequenceOf } from '../../sequence/lives.ts';
import type { Fix } from '../finding.ts';
import { bestCover, fix, inList, insertAfter, insertBefore, stepOn } from './mending.ts';
import { joinWays, stepsToJoin } from './placing.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Connector } from '../../plan/scope.ts';
import type { Hazard } from '../../plan/tables/tasks.ts';
import type { Sequence } from '../../sequence/lives.ts';

const wetness: ReadonlySet<Hazard> = new Set(['moisture', 'overspray']);

/** Steps that may wet a connector between this cover and its uncovering. */
export function wetOperations(sequence: Sequence, connector: Connector, cover: Operation): Operation[] {
  const { order } = sequence;
  const off = sequence
    .life(connector.id)
    ?.events.find(({ act, operation }) => act === 'uncover' && order.before(cover, operation));
  const until = off?.operation;
  return order
    .candidatesBetween(sequence.reaching(connector.zone, wetness), cover, until)
    .filter((one) => order.mayFallBetween(cover, one, until));
}

/** What the plan covers connectors like this one with; otherwise what its maker asks for. */
export function coverFor(plan: Plan, connector: Connector, wet: boolean): readonly string[] | undefined {
  const alike = plan.operationsDoing('cover').find(
    ({ using, connectors }) =>
      using.length > 0 &&
      (!wet || using.some(({ value }) => plan.scope.consumables.get(value)?.kind !== 'tape')) &&
      connectors.some(({ value }) => {
        const other = plan.scope.connectors.get(value);
        return (
          value !== connector.id &&
          other !== undefined &&
          other.class === connector.class &&
          other.medium === connector.medium &&
          other.makerCover === connector.makerCover
        );
      }),
  );
  return alike ? alike.using.map(({ value }) => value) : bestCover(plan, connector, wet);
}

/**
 * Ways to cover both halves before another step, best first: both where one was meant, with the others that are
 * opened with it, or right after it is bare. Where the plan opens its contacts later, the cover comes off before that.
 */
export function coverWays(
  plan: Plan,
  life: ConnectorHistory,
  bared: Operation,
  step: Operation,
): readonly (Fix | undefined)[] {
  const { connector, operations, events } = life;
  const { order } = sequenceOf(plan);
  const inTime = (one: Operation): boolean => order.before(bared, one) && order.before(one, step);
  const half = operations.find(
    (one) =>
      one.taskId === 'cover' &&
      one.halves.length === 1 &&
      one.step === one.planStep &&
      order.before(one, step),
  );
  const using = coverFor(plan, connector, false);
  const cover = stepOn('cover', connector.id, [
    ['halves', 'both'],
    ...(using ? ([['using', inList(using)]] as const) : []),
  ]);
  const alike = stepsToJoin(
    plan,
    'cover',
    [connector.id],
    (one) =>
      inTime(one) &&
      one.halves.length === bothHalves.length &&
      one.using.map(({ value }) => value).join() === (using ?? []).join(),
  );
  const later = operations.find(
    (one) => atTheContacts.has(one.taskId) && order.before(step, one) && order.before(bared, one),
  );
  const uncovered = events.some(({ act, operation }) => act === 'uncover' && order.before(step, operation));
  return [
    half &&
      fix(say`Cover both halves of ${connector.id} in ${half.planStep.id}`, [
        setKey(plan.document, half.step.node, 'halves', 'both'),
      ]),
    ...joinWays(plan, alike, [connector.id]),
    fix(say`Cover both halves of ${connector.id} right after ${bared.planStep.id}`, [
      ...insertAfter(plan, bared.planStep, [cover], [step.planStep]),
      ...(later && !uncovered
        ? insertBefore(plan, later.planStep, [stepOn('uncover', connector.id)], [step.planStep])
        : []),
    ]),
  ];
}

const atTheContacts: ReadonlySet<string> = new Set(['inspect', 'clean', 'reconnect']);
