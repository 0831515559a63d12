import { mapDefined } from '../base/collections.ts';
import { sameMembers } from '../incremental/query.ts';
import type { Operation } from '../plan/operations.ts';
import type { Connector } from '../plan/scope.ts';
import { bothHalves } from '../plan/steps.ts';
import type { Half } from '../plan/steps.ts';
import type { Hazard } from '../plan/tables/tasks.ts';
import type { Zones } from '../plan/tables/zones.ts';
import type { OperationOrder } from './operation-order.ts';

type Act = 'disconnect' | 'cover' | 'uncover' | 'reconnect';
const acts: ReadonlySet<string> = new Set<Act>(['disconnect', 'cover', 'uncover', 'reconnect']);

/** An operation that changes whether a half is mated, open or covered. */
export interface ConnectorEvent {
  readonly act: Act;
  readonly operation: Operation;
}

/** The history of one connector through the plan, like the live ranges of a variable. */
export interface ConnectorHistory {
  readonly connector: Connector;
  /** All operations that name the connector, in an order the plan allows. */
  readonly operations: readonly Operation[];
  readonly events: readonly ConnectorEvent[];
  /** Two events of one half with nothing to say which comes first. */
  readonly unclear: readonly [ConnectorEvent, ConnectorEvent] | undefined;
  /** A step that may affect this connector is unreadable or unknown, so findings about it are suppressed. */
  readonly unsure: boolean;
}

/** One connector followed through the operations that name it, in an order the plan allows. */
export function traceConnector(
  order: OperationOrder,
  connector: Connector,
  operations: readonly Operation[],
): Omit<ConnectorHistory, 'unsure'> {
  const events = mapDefined(operations, (operation): ConnectorEvent | undefined => {
    const act = actOf(operation);
    return act && { act, operation };
  });
  for (const half of bothHalves) {
    const own = events.filter(({ operation }) => touches(operation, half));
    for (let i = 1; i < own.length; i++) {
      const [a, b] = [own[i - 1]!, own[i]!];
      if (!order.before(a.operation, b.operation)) return { connector, operations, events, unclear: [a, b] };
    }
  }
  return { connector, operations, events, unclear: undefined };
}

/** What an operation does to the connectors it names. A task of the shop's own opens, closes, covers and uncovers as its row says. */
export function actOf({ taskId, task }: Operation): Act | undefined {
  if (acts.has(taskId)) return taskId as Act;
  if (!task) return undefined;
  const [opens, closes] = [task.ends.includes('closed'), task.makes.includes('closed')];
  if (opens || closes) return opens && closes ? undefined : opens ? 'disconnect' : 'reconnect';
  const [covers, uncovers] = [task.makes.includes('protected'), task.makes.includes('uncovered')];
  return covers === uncovers ? undefined : covers ? 'cover' : 'uncover';
}

/** Disconnecting and reconnecting concern both halves; a cover may concern one. */
export function touches({ taskId, halves }: Operation, half: Half): boolean {
  return taskId === 'disconnect' || taskId === 'reconnect' || halves.includes(half);
}

/** Whether two histories are equal. */
export const sameLife = (before: ConnectorHistory, now: ConnectorHistory): boolean =>
  before.connector === now.connector &&
  before.unsure === now.unsure &&
  sameMembers(before.operations, now.operations) &&
  before.unclear?.[0].operation === now.unclear?.[0].operation &&
  before.unclear?.[1].operation === now.unclear?.[1].operation;

/**
 * How an operation's hazards get to `zone`: the zone itself, a neighbour's name, an empty text where nobody says where
 * the work or the connector is (then they may), or undefined when they do not.
 */
export function reachedFrom(
  adjoining: Zones,
  { task, zones }: Operation,
  zone: string | undefined,
  kinds: ReadonlySet<Hazard>,
): string | undefined {
  if (!task?.raises.some((hazard) => kinds.has(hazard))) return undefined;
  if (zone === undefined || (zones.length === 0 && task.reach !== 'everywhere')) return '';
  if (task.reach === 'everywhere' || zones.includes(zone)) return zone;
  return task.reach === 'beside' ? zones.find((from) => adjoining.adjoin(from, zone)) : undefined;
}
