import { gather } from '../document/gather.ts';
import { nearest } from '../document/nearest.ts';
import { keyed, query, sameEntries, sameMembers } from '../document/query.ts';
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
  /** By connector; none when the order goes round in a circle. */
  readonly lives: ReadonlyMap<string, Life>;
  life(connector: string): Life | undefined;
  /** Power-up, move, road test, handing over: earlier first, in an order the plan allows. */
  readonly gates: readonly Operation[];
  /** Operations that do `task`, name no connector and concern `zone` or the whole vehicle; earlier first of each. */
  around(task: string, zone: string | undefined): readonly Operation[];
  /** Operations that raise any of `kinds` where `zone` is, earlier first. */
  reaching(zone: string | undefined, kinds: ReadonlySet<Hazard>): readonly Operation[];
}

/** The analysis of a plan. Each part is made when it is first asked for, and kept while what it rests on stays. */
export const sequenceOf = ({ reading }: Plan): Sequence => new ReadSequence(reading);

class ReadSequence implements Sequence {
  constructor(readonly reading: Reading) {}

  get order(): Order {
    return orderIn(this.reading);
  }
  get lives(): ReadonlyMap<string, Life> {
    return livesIn(this.reading);
  }
  life(connector: string): Life | undefined {
    return lifeIn(this.reading, connector);
  }
  get gates(): readonly Operation[] {
    return gatesIn(this.reading);
  }
  around(task: string, zone: string | undefined): readonly Operation[] {
    return aroundIn(this.reading, `${zone ?? ''}\n${task}`);
  }
  reaching(zone: string | undefined, kinds: ReadonlySet<Hazard>): readonly Operation[] {
    return reachingIn(this.reading, `${zone ?? ''}\n${[...kinds].join()}`);
  }
}

const orderIn = query((reading: Reading) => new Order(new ReadPlan(reading).predecessors));

/** In an order the plan allows; in that of the text where it goes round in a circle. */
const sortedIn = query((reading: Reading): readonly Operation[] => {
  const order = orderIn(reading);
  const { operations } = new ReadPlan(reading);
  return order.circle ? operations : [...operations].sort((a, b) => order.compare(a.index, b.index));
}, sameMembers);

const gatesIn = query((reading: Reading) => sortedIn(reading).filter(({ task }) => task?.gate), sameMembers);
const raisingIn = query(
  (reading: Reading) => sortedIn(reading).filter(({ task }) => task && task.raises.length > 0),
  sameMembers,
);
const reachingIn = keyed((reading: Reading, key: string): readonly Operation[] => {
  const [zone, kinds] = key.split('\n') as [string, string];
  const wanted = new Set(kinds.split(',') as Hazard[]);
  const { zones } = new ReadPlan(reading).scope;
  return raisingIn(reading).filter(
    (operation) => reach(zones, operation, zone === '' ? undefined : zone, wanted) !== undefined,
  );
}, sameMembers);

/** Operations that name no connector: by task and zone, without one for those that concern the whole vehicle. */
const unnamedIn = query((reading: Reading) => {
  const found = new Map<string, Operation[]>();
  for (const operation of sortedIn(reading)) {
    if (operation.connectors.length > 0) continue;
    for (const zone of operation.zones.length > 0 ? new Set(operation.zones) : ['']) {
      gather(found, `${zone}\n${operation.taskId}`, operation);
    }
  }
  return found;
});
const aroundIn = keyed((reading: Reading, key: string): readonly Operation[] => {
  const unnamed = unnamedIn(reading);
  const everywhere = key.slice(key.indexOf('\n'));
  const here = key === everywhere ? [] : (unnamed.get(key) ?? []);
  return [...(unnamed.get(everywhere) ?? []), ...here];
}, sameMembers);

const namingIn = query((reading: Reading) => {
  const found = new Map<string, Operation[]>();
  for (const operation of sortedIn(reading)) {
    for (const { value } of operation.connectors) {
      if (found.get(value)?.at(-1) !== operation) gather(found, value, operation);
    }
  }
  return found;
});
const namingOneIn = keyed(
  (reading: Reading, connector: string): readonly Operation[] => namingIn(reading).get(connector) ?? [],
  sameMembers,
);

const unsureIn = query((reading: Reading) => {
  const { operations, scope } = new ReadPlan(reading);
  return unsureConnectors(operations, scope.connectors);
});
const isUnsureIn = keyed(
  (reading: Reading, connector: string) =>
    new ReadPlan(reading).opaque.length > 0 || unsureIn(reading).has(connector),
);
const connectorIn = keyed((reading: Reading, id: string) => new ReadPlan(reading).scope.connectors.get(id));

const lifeIn = keyed((reading: Reading, id: string): Life | undefined => {
  const connector = connectorIn(reading, id);
  const order = orderIn(reading);
  if (!connector || order.circle) return undefined;
  const { zones } = new ReadPlan(reading).scope;
  const dirty = new ReadSequence(reading).reaching(connector.zone, soiling);
  const found = live(zones, order, connector, namingOneIn(reading, id), dirty);
  return { ...found, unsure: isUnsureIn(reading, id) };
});
const livesIn = query((reading: Reading): ReadonlyMap<string, Life> => {
  const lives = new Map<string, Life>();
  for (const id of new ReadPlan(reading).scope.connectors.keys()) {
    const life = lifeIn(reading, id);
    if (life) lives.set(id, life);
  }
  return lives;
}, sameEntries);

/** Connectors named by a step whose task is not known or whose text is broken, or meant by a name that is misspelt. */
function unsureConnectors(
  operations: readonly Operation[],
  known: ReadonlyMap<string, Connector>,
): Set<string> {
  const unsure = new Set<string>();
  for (const { task, step, connectors } of operations) {
    for (const { value } of connectors) {
      if (!known.has(value)) {
        const meant = nearest(value, known.keys());
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
  dirty: readonly Operation[],
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
  const windows = [...stretches.values()].map((stretch): Window => {
    const from = stretch.opened.operation.index;
    const to = stretch.closed?.operation.index;
    const hazards = order
      .around(dirty, ({ index }) => index, from, to)
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
