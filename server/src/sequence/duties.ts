import type { Operation } from '../plan/operations.ts';
import type { Connector } from '../plan/scope.ts';
import type { Event, Life, Sequence } from './lives.ts';

/** Tasks that need the vehicle powered: they come after power-up and before it is moved, tested or handed over. */
const needPower: ReadonlySet<string> = new Set(['scan', 'calibrate']);

/** The events that close a connector, in order; none where nothing certain can be said about it. */
export function closings({ events, unsure, unclear }: Life): readonly Event[] {
  return unsure || unclear ? [] : events.filter(({ act }) => act === 'reconnect');
}

/**
 * The steps that do `task` to a connector: those that name it, those that name no connector and happen in its zone,
 * and those that name neither connector nor zone, which mean the whole vehicle.
 */
export function stepsOn(sequence: Sequence, connector: Connector, task: string): readonly Operation[] {
  const named = sequence.lives.get(connector.id)?.operations.filter(({ taskId }) => taskId === task) ?? [];
  const around = (sequence.unnamed.get(task) ?? []).filter(
    ({ zones }) => zones.length === 0 || (connector.zone !== undefined && zones.includes(connector.zone)),
  );
  return [...named, ...around];
}

/**
 * The first gate (power-up, move, road test, handing over) that may come after `closing` without `task` having
 * certainly been done to the connector in between; undefined when the duty is kept at every gate. A gate that comes
 * after the next opening belongs to the closing that follows it.
 */
export function owedBeforeGate(
  sequence: Sequence,
  life: Life,
  closing: Operation,
  task: string,
): Operation | undefined {
  const { order, gates } = sequence;
  const done = stepsOn(sequence, life.connector, task).filter(({ index }) =>
    order.before(closing.index, index),
  );
  const opened = life.events.find(
    ({ act, operation }) => act === 'disconnect' && order.before(closing.index, operation.index),
  )?.operation;
  return gates
    .filter(({ index, taskId }) => {
      if (order.before(index, closing.index) || (opened && order.before(opened.index, index))) return false;
      if (needPower.has(task) && taskId === 'power-up') return false;
      return !done.some((step) => order.before(step.index, index));
    })
    .sort((a, b) => order.compare(a.index, b.index))[0];
}
