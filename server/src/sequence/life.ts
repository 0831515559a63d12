import { mapDefined, pairNames } from '../base/collections.ts';
import { sameMembers } from '../incremental/query.ts';
import type { Operation } from '../plan/operations.ts';
import type { Connector } from '../plan/scope.ts';
import { bothHalves } from '../plan/steps.ts';
import type { Half } from '../plan/steps.ts';
import { soiling } from '../plan/tables/tasks.ts';
import type { Hazard } from '../plan/tables/tasks.ts';
import type { Zones } from '../plan/tables/zones.ts';
import type { Precedence } from './operation-order.ts';

type Act = 'disconnect' | 'cover' | 'uncover' | 'reconnect';
const acts: ReadonlySet<string> = new Set<Act>(['disconnect', 'cover', 'uncover', 'reconnect']);

/** An operation that changes whether a half is mated, open or covered. */
export interface Event {
  readonly act: Act;
  readonly operation: Operation;
}

/** A stretch in which halves of a connector are bare, and what may meet them there. */
export interface Window {
  readonly halves: readonly Half[];
  readonly opened: Event;
  /** The cover or the reconnecting that ends it; undefined when nothing does. */
  readonly closed: Event | undefined;
  readonly hazards: readonly Meeting[];
}

/** An operation that raises something where a connector is, and may do so in between. */
export interface Meeting {
  readonly operation: Operation;
  readonly raises: readonly Hazard[];
  /** It certainly comes in between, rather than only on some order the plan allows. */
  readonly certain: boolean;
  /** It certainly comes after the opening. */
  readonly follows: boolean;
  /** The zone it works in, when that only adjoins the connector's. */
  readonly from: string | undefined;
}

/** One connector followed through the plan, as a variable is through a program. */
export interface Life {
  readonly connector: Connector;
  /** All operations that name the connector, in an order the plan allows. */
  readonly operations: readonly Operation[];
  readonly events: readonly Event[];
  readonly windows: readonly Window[];
  /** Two events of one half with nothing to say which comes first; then no windows are known. */
  readonly unclear: readonly [Event, Event] | undefined;
  /** A step that may concern it cannot be read or is not known: nothing is said about this connector. */
  readonly unsure: boolean;
}

/** One connector followed through the operations that name it; `dirty` are those that may soil it. */
export function live(
  zones: Zones,
  order: Precedence,
  connector: Connector,
  operations: readonly Operation[],
  dirty: readonly Operation[],
): Omit<Life, 'unsure'> {
  const events = mapDefined(operations, (operation): Event | undefined =>
    acts.has(operation.taskId) ? { act: operation.taskId as Act, operation } : undefined,
  );
  const perHalf = bothHalves.map((half) => events.filter(({ operation }) => touches(operation, half)));
  for (const own of perHalf) {
    for (let i = 1; i < own.length; i++) {
      const [a, b] = [own[i - 1]!, own[i]!];
      if (!order.before(a.operation, b.operation)) {
        return { connector, operations, events, windows: [], unclear: [a, b] };
      }
    }
  }
  const nameOf = pairNames();
  const stretches = new Map<string, { halves: Half[]; opened: Event; closed: Event | undefined }>();
  bothHalves.forEach((half, i) => {
    const own = perHalf[i]!;
    let apart = false;
    let bare = false;
    own.forEach((opened, at) => {
      const wasBare = bare;
      if (opened.act === 'disconnect') apart = true;
      if (opened.act === 'reconnect') apart = false;
      // A cover over a closed connector keeps spray off its outside; taking it off bares no contact.
      bare = opened.act === 'disconnect' || (opened.act === 'uncover' && apart);
      // Opening what is open already starts no second stretch.
      if (!bare || wasBare) return;
      const closed = own.slice(at + 1).find(({ act }) => act === 'cover' || act === 'reconnect');
      const key = nameOf(opened.operation, closed?.operation);
      const known = stretches.get(key);
      if (known) known.halves.push(half);
      else stretches.set(key, { halves: [half], opened, closed });
    });
  });
  const windows = [...stretches.values()].map((stretch): Window => {
    const from = stretch.opened.operation;
    const to = stretch.closed?.operation;
    const hazards = order
      .around(dirty, from, to)
      .filter((one) => order.mayFallBetween(from, one, to))
      .map((operation): Meeting => {
        const where = reach(zones, operation, connector.zone, soiling);
        return {
          operation,
          raises: operation.task!.raises.filter((hazard) => soiling.has(hazard)),
          certain: order.before(from, operation) && (to === undefined || order.before(operation, to)),
          follows: order.before(from, operation),
          from: where === connector.zone || where === '' ? undefined : where,
        };
      });
    return { ...stretch, hazards };
  });
  return { connector, operations, events, windows, unclear: undefined };
}

/** Disconnecting and reconnecting concern both halves; a cover may concern one. */
export function touches({ taskId, halves }: Operation, half: Half): boolean {
  return taskId === 'disconnect' || taskId === 'reconnect' || halves.includes(half);
}

/** Whether two lives tell the same. */
export const sameLife = (before: Life, now: Life): boolean =>
  before.connector === now.connector &&
  before.unsure === now.unsure &&
  sameMembers(before.operations, now.operations) &&
  before.unclear?.[0].operation === now.unclear?.[0].operation &&
  before.unclear?.[1].operation === now.unclear?.[1].operation &&
  before.windows.length === now.windows.length &&
  before.windows.every((window, i) => sameWindow(window, now.windows[i]!));

const sameWindow = (before: Window, now: Window): boolean =>
  before.opened.operation === now.opened.operation &&
  before.closed?.operation === now.closed?.operation &&
  sameMembers(before.halves, now.halves) &&
  before.hazards.length === now.hazards.length &&
  before.hazards.every((meeting, i) => {
    const other = now.hazards[i]!;
    return (
      meeting.operation === other.operation &&
      meeting.certain === other.certain &&
      meeting.follows === other.follows &&
      meeting.from === other.from
    );
  });

/** How an operation's hazards get to `zone`: the zone itself, a neighbour's name, or undefined when they do not. */
export function reach(
  adjoining: Zones,
  { task, zones }: Operation,
  zone: string | undefined,
  kinds: ReadonlySet<Hazard>,
): string | undefined {
  if (!task?.raises.some((hazard) => kinds.has(hazard))) return undefined;
  if (zone === undefined) return task.reach === 'everywhere' ? '' : undefined;
  if (task.reach === 'everywhere' || zones.includes(zone)) return zone;
  return task.reach === 'beside' ? zones.find((from) => adjoining.adjoin(from, zone)) : undefined;
}
