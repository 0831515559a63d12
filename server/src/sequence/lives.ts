import { nearest } from '../document/nearest.ts';
import { query } from '../document/query.ts';
import type { Connector } from '../plan/scope.ts';
import type { Half, Operation } from '../plan/operations.ts';
import { bothHalves } from '../plan/operations.ts';
import { ReadPlan } from '../plan/plan.ts';
import type { Plan } from '../plan/plan.ts';
import type { Reading } from '../plan/reading.ts';
import { soiling } from '../plan/tasks.ts';
import type { Hazard } from '../plan/tasks.ts';
import type { Zones } from '../plan/zones.ts';
import { Order } from './order.ts';

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

export interface Sequence {
  readonly order: Order;
  readonly lives: ReadonlyMap<string, Life>;
  /** Power-up, move, road test, handing over: earlier first, in an order the plan allows. */
  readonly gates: readonly Operation[];
  readonly unnamed: Pick<Unnamed, 'around'>;
  /** Operations that raise any of `kinds` where `zone` is, earlier first. */
  reaching(zone: string | undefined, kinds: ReadonlySet<Hazard>): readonly Operation[];
}

/** The analysis of a plan, made once; `lives` is empty when the order goes round in a circle. */
export const sequenceOf = ({ reading }: Plan): Sequence => sequenceIn(reading);

const orderIn = query((reading: Reading) => new Order(new ReadPlan(reading).predecessors));

const sequenceIn = query((reading: Reading): Sequence => {
  const { operations, opaque, scope } = new ReadPlan(reading);
  return analyse(orderIn(reading), operations, opaque.length > 0, scope.connectors, scope.zones);
});

function analyse(
  order: Order,
  operations: readonly Operation[],
  opaque: boolean,
  connectors: ReadonlyMap<string, Connector>,
  zones: Zones,
): Sequence {
  const sorted = order.circle ? operations : [...operations].sort((a, b) => order.compare(a.index, b.index));
  const raising = sorted.filter(({ task }) => task && task.raises.length > 0);
  const known = new Map<ReadonlySet<Hazard>, Map<string | undefined, readonly Operation[]>>();
  const reaching: Sequence['reaching'] = (zone, kinds) => {
    let byZone = known.get(kinds);
    if (!byZone) known.set(kinds, (byZone = new Map()));
    let found = byZone.get(zone);
    if (!found) {
      found = raising.filter((operation) => reach(zones, operation, zone, kinds) !== undefined);
      byZone.set(zone, found);
    }
    return found;
  };
  const naming = new Map<string, Operation[]>();
  const unnamed = new Unnamed();
  for (const operation of sorted) {
    if (operation.connectors.length === 0) unnamed.add(operation);
    for (const { value } of operation.connectors) {
      const list = naming.get(value);
      if (!list) naming.set(value, [operation]);
      else if (list.at(-1) !== operation) list.push(operation);
    }
  }
  const unsure = unsureConnectors(operations, connectors);
  const lives = new Map<string, Life>();
  if (!order.circle) {
    for (const connector of connectors.values()) {
      lives.set(connector.id, {
        ...live(zones, order, connector, naming.get(connector.id) ?? [], reaching),
        unsure: opaque || unsure.has(connector.id),
      });
    }
  }
  return { order, lives, gates: sorted.filter(({ task }) => task?.gate), unnamed, reaching };
}

/** Operations that name no connector: they concern their zones or, without one, the whole vehicle. */
class Unnamed {
  readonly #tasks = new Map<string, Map<string, Operation[]>>();

  add(operation: Operation): void {
    let zones = this.#tasks.get(operation.taskId);
    if (!zones) this.#tasks.set(operation.taskId, (zones = new Map()));
    for (const zone of operation.zones.length > 0 ? operation.zones : ['']) {
      const list = zones.get(zone);
      if (!list) zones.set(zone, [operation]);
      else if (list.at(-1) !== operation) list.push(operation);
    }
  }

  /** Those that do `task` in `zone` or to the whole vehicle, earlier first. */
  around(task: string, zone: string | undefined): readonly Operation[] {
    const zones = this.#tasks.get(task);
    return [...(zones?.get('') ?? []), ...((zone !== undefined && zones?.get(zone)) || [])];
  }
}

/** Connectors named by a step whose task is not known or whose text is broken, or meant by a name that is misspelt. */
function unsureConnectors(
  operations: readonly Operation[],
  known: ReadonlyMap<string, Connector>,
): Set<string> {
  const unsure = new Set<string>();
  for (const { task, step, connectors } of operations) {
    for (const { value } of connectors) {
      if (!known.has(value)) {
        const meant = nearest(value, [...known.keys()]);
        if (meant !== undefined) unsure.add(meant);
      } else if (!task || step.node.broken) unsure.add(value);
    }
  }
  return unsure;
}

/** How an operation's hazards get to `zone`: the zone itself, a neighbour's name, or undefined when they do not. */
function reach(
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

function live(
  zones: Zones,
  order: Order,
  connector: Connector,
  operations: readonly Operation[],
  reaching: Sequence['reaching'],
): Omit<Life, 'unsure'> {
  const events = operations.flatMap((operation): Event[] =>
    acts.has(operation.taskId) ? [{ act: operation.taskId as Act, operation }] : [],
  );
  const perHalf = bothHalves.map((half) => events.filter(({ operation }) => touches(operation, half)));
  for (const own of perHalf) {
    for (let i = 1; i < own.length; i++) {
      const [a, b] = [own[i - 1]!, own[i]!];
      if (!order.before(a.operation.index, b.operation.index)) {
        return { connector, operations, events, windows: [], unclear: [a, b] };
      }
    }
  }
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
      const key = `${opened.operation.index} ${closed?.operation.index}`;
      const known = stretches.get(key);
      if (known) known.halves.push(half);
      else stretches.set(key, { halves: [half], opened, closed });
    });
  });
  const around = reaching(connector.zone, soiling);
  const windows = [...stretches.values()].map((stretch): Window => {
    const from = stretch.opened.operation.index;
    const to = stretch.closed?.operation.index;
    const hazards = order
      .around(around, ({ index }) => index, from, to)
      .filter(({ index }) => order.mayFallBetween(from, index, to))
      .map((operation): Meeting => {
        const where = reach(zones, operation, connector.zone, soiling);
        return {
          operation,
          raises: operation.task!.raises.filter((hazard) => soiling.has(hazard)),
          certain:
            order.before(from, operation.index) && (to === undefined || order.before(operation.index, to)),
          follows: order.before(from, operation.index),
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
