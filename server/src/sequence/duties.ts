import { flatMapped } from '../base/collections.ts';
import { once } from '../incremental/memo.ts';
import { queries, query, sameMembers } from '../incremental/query.ts';
import type { Operation } from '../plan/operations.ts';
import { ReadPlan } from '../plan/plan.ts';
import type { Plan } from '../plan/plan.ts';
import type { Reading } from '../plan/snapshot.ts';
import type { Connector } from '../plan/scope.ts';
import { sequenceOf } from './lives.ts';
import type { Event, Life } from './life.ts';
import type { Sequence } from './lives.ts';
import type { Precedence } from './operation-order.ts';

/** The events that close a connector, in order; none where nothing certain can be said about it. */
export function closings({ events, unsure, unclear }: Life): readonly Event[] {
  return unsure || unclear ? [] : events.filter(({ act }) => act === 'reconnect');
}

/**
 * The steps that do `task` to a connector: those that name it, those that name no connector and happen in its zone,
 * and those that name neither connector nor zone, which mean the whole vehicle.
 */
export function stepsOn(sequence: Sequence, connector: Connector, task: string): readonly Operation[] {
  const named = sequence.life(connector.id)?.operations.filter(({ taskId }) => taskId === task) ?? [];
  return [...named, ...sequence.around(task, connector.zone)];
}

/**
 * By when a duty must be kept: at the next gate (power-up, move, road test, handing over), or, where it needs the vehicle
 * powered, when the vehicle is handed over.
 */
export type OwedBy = 'next-gate' | 'hand-over';

/** A closing of a connector after which a duty is not certain to be kept in time. */
export interface Owed {
  readonly connector: Connector;
  readonly closing: Operation;
  /** The gate that comes too soon; undefined where the plan ends without one. */
  readonly before: Operation | undefined;
}

/** The closings of all connectors that ask for it after which `task` is not certain to be done in time. */
export function owedIn(
  task: string,
  owedBy: OwedBy,
  owes: (connector: Connector, plan: Plan) => boolean,
): (plan: Plan) => readonly Owed[] {
  const tooSoon = owedBy === 'next-gate' ? beforeGate : beforeHandOver;
  const owedOf = once(
    (
      life: Life,
      order: Precedence,
      gates: readonly Operation[],
      around: readonly Operation[],
    ): readonly Owed[] => {
      const done = [...life.operations.filter(({ taskId }) => taskId === task), ...around];
      return flatMapped(closings(life), ({ operation: closing }) => {
        const after = done.filter((one) => order.before(closing, one));
        const owed = tooSoon(order, gates, closing, openedAgain(order, life, closing), after);
        // A gate that may come before the closing is a mistake of its own.
        if (!owed || (owed.before && !order.before(closing, owed.before))) return [];
        return [{ connector: life.connector, closing, before: owed.before }];
      });
    },
  );
  const found = query((reading: Reading) => {
    const plan = new ReadPlan(reading);
    const sequence = sequenceOf(plan);
    const { order, gates, lives } = sequence;
    const around = queries((zone: string | undefined) => sequence.around(task, zone));
    const owed: Owed[] = [];
    for (const life of lives.values()) {
      const { connector } = life;
      if (owes(connector, plan)) owed.push(...owedOf(life, order, gates, around(connector.zone)));
    }
    return owed;
  }, sameMembers);
  return ({ reading }) => found(reading);
}

/** What comes too soon after a closing, if anything does: `opened` opens it again, `done` are the steps that do the task. */
type TooSoon = (
  order: Precedence,
  gates: readonly Operation[],
  closing: Operation,
  opened: Operation | undefined,
  done: readonly Operation[],
) => Pick<Owed, 'before'> | undefined;

/**
 * The first gate after `closing` that may come without one of `done`. A gate that comes after the next opening belongs to
 * the closing that follows it.
 */
const beforeGate: TooSoon = (order, gates, closing, opened, done) => {
  const [before] = gates
    .filter((one) => {
      if (!order.before(closing, one) || (opened && order.before(opened, one))) return false;
      return !done.some((step) => order.before(step, one));
    })
    .sort((a, b) => order.compare(a, b));
  return before && { before };
};

/** Whether the vehicle may be handed over, or the plan ends, without one of `done`. */
const beforeHandOver: TooSoon = (order, gates, closing, opened, done) => {
  if (opened) return undefined;
  const before = gates
    .filter((one) => one.taskId === 'deliver' && order.before(closing, one))
    .find((one) => !done.some((step) => order.before(step, one)));
  return before || done.length === 0 ? { before } : undefined;
};

const openedAgain = (order: Precedence, { events }: Life, closing: Operation): Operation | undefined =>
  events.find(({ act, operation }) => act === 'disconnect' && order.before(closing, operation))?.operation;
