import type { Operation } from '../plan/operations.ts';
import type { Connector } from '../plan/scope.ts';
import type { Event, Life, Sequence } from './lives.ts';

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
 * The first gate (power-up, move, road test, handing over) after `closing` that may come without `task` having
 * certainly been done to the connector in between; undefined when the duty is kept at every gate. A gate that comes
 * after the next opening belongs to the closing that follows it; one that may come before the closing is a mistake of
 * its own.
 */
export function owedBeforeGate(
  sequence: Sequence,
  life: Life,
  closing: Operation,
  task: string,
): Operation | undefined {
  const { order, gates } = sequence;
  const opened = openedAgain(sequence, life, closing);
  const done = stepsOn(sequence, life.connector, task).filter(({ index }) =>
    order.before(closing.index, index),
  );
  return gates
    .filter(({ index }) => {
      if (!order.before(closing.index, index) || (opened && order.before(opened.index, index))) return false;
      return !done.some((step) => order.before(step.index, index));
    })
    .sort((a, b) => order.compare(a.index, b.index))[0];
}

/**
 * Whether `task`, which needs the vehicle powered, is still owed to the connector when the vehicle is handed over;
 * `before` is the handing over, undefined where the plan ends without one.
 */
export function owedBeforeHandOver(
  sequence: Sequence,
  life: Life,
  closing: Operation,
  task: string,
): { readonly before: Operation | undefined } | undefined {
  const { order, gates } = sequence;
  if (openedAgain(sequence, life, closing)) return undefined;
  const done = stepsOn(sequence, life.connector, task).filter(({ index }) =>
    order.before(closing.index, index),
  );
  const before = gates
    .filter(({ index, taskId }) => taskId === 'deliver' && order.before(closing.index, index))
    .find(({ index }) => !done.some((step) => order.before(step.index, index)));
  return before || done.length === 0 ? { before } : undefined;
}

const openedAgain = ({ order }: Sequence, { events }: Life, closing: Operation): Operation | undefined =>
  events.find(({ act, operation }) => act === 'disconnect' && order.before(closing.index, operation.index))
    ?.operation;
