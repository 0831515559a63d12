import { gather } from '../document/gather.ts';
import { nearest } from '../document/nearest.ts';
import { once } from '../document/once.ts';
import { keepGroups, keyed, queries, query, sameEntries, sameMembers } from '../document/query.ts';
import { cutter } from '../document/runs.ts';
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

const runsOf = cutter<Operation>();
/** The same in runs of which an edit changes few. */
const sortedRunsIn = query((reading: Reading) => runsOf(sortedIn(reading)));
const gatesIn = query(
  (reading: Reading) => sortedRunsIn(reading).flatMap((run) => gatesInRun(run)),
  sameMembers,
);
const gatesInRun = once((run: readonly Operation[]) => run.filter(({ task }) => task?.gate));
const raisingIn = query(
  (reading: Reading) => sortedRunsIn(reading).flatMap((run) => raisingInRun(run)),
  sameMembers,
);
const raisingInRun = once((run: readonly Operation[]) =>
  run.filter(({ task }) => task && task.raises.length > 0),
);
const raisingRunsIn = query((reading: Reading) => runsOfRaising(raisingIn(reading)));
const runsOfRaising = cutter<Operation>();
const reachingIn = keyed((reading: Reading, key: string): readonly Operation[] => {
  const { zones } = new ReadPlan(reading).scope;
  return raisingRunsIn(reading).flatMap((run) => reachingInRun(run, zones)(key));
}, sameMembers);
const reachingInRun = once((run: readonly Operation[], zones: Zones) =>
  queries((key: string) => {
    const [zone, kinds] = key.split('\n') as [string, string];
    const wanted = new Set(kinds.split(',') as Hazard[]);
    return run.filter(
      (operation) => reach(zones, operation, zone === '' ? undefined : zone, wanted) !== undefined,
    );
  }),
);

/** Operations that name no connector: by task and zone, without one for those that concern the whole vehicle. */
const unnamedInRun = once((run: readonly Operation[]): ReadonlyMap<string, readonly Operation[]> => {
  const found = new Map<string, Operation[]>();
  for (const operation of run) {
    if (operation.connectors.length > 0) continue;
    for (const zone of operation.zones.length > 0 ? new Set(operation.zones) : ['']) {
      gather(found, `${zone}\n${operation.taskId}`, operation);
    }
  }
  return found;
});
const unnamedIn = keyed(
  (reading: Reading, key: string): readonly Operation[] =>
    sortedRunsIn(reading).flatMap((run) => unnamedInRun(run).get(key) ?? []),
  sameMembers,
);
const aroundIn = keyed((reading: Reading, key: string): readonly Operation[] => {
  const everywhere = key.slice(key.indexOf('\n'));
  const here = key === everywhere ? [] : unnamedIn(reading, key);
  return [...unnamedIn(reading, everywhere), ...here];
}, sameMembers);

/** The connectors that operations name, each with the operation. */
const namesInRun = once((run: readonly Operation[]) =>
  run.flatMap((operation) =>
    [...new Set(operation.connectors.map(({ value }) => value))].map((name) => ({ name, operation })),
  ),
);
const namingIn = query((reading: Reading) => {
  const found = new Map<string, readonly Operation[]>();
  for (const run of sortedRunsIn(reading)) {
    for (const { name, operation } of namesInRun(run))
      gather(found as Map<string, Operation[]>, name, operation);
  }
  return found;
}, keepGroups);

/** Connectors of which nobody can say for certain what is done to them. */
const unsureIn = query(
  (reading: Reading): ReadonlySet<string> => {
    const { connectors } = new ReadPlan(reading).scope;
    return new Set(sortedRunsIn(reading).flatMap((run) => unsureInRun(run, connectors)));
  },
  (before, now) => before.size === now.size && [...now].every((connector) => before.has(connector)),
);

const livesIn = query((reading: Reading): Map<string, Life> => {
  const lives = new Map<string, Life>();
  const order = orderIn(reading);
  if (order.circle) return lives;
  const { scope, opaque } = new ReadPlan(reading);
  const { connectors, zones } = scope;
  const naming = namingIn(reading);
  const unsure = unsureIn(reading);
  const sequence = new ReadSequence(reading);
  const dirtyAt = queries((zone: string | undefined) => sequence.reaching(zone, soiling));
  for (const [id, connector] of connectors) {
    const isUnsure = opaque.length > 0 || unsure.has(id);
    const operations = naming.get(id) ?? unnamed;
    lives.set(id, lifeOf(connector, zones, order, operations, dirtyAt(connector.zone), isUnsure));
  }
  return lives;
}, keepLives);
const unnamed: readonly Operation[] = [];
const lifeOf = once(
  (
    connector: Connector,
    zones: Zones,
    order: Order,
    operations: readonly Operation[],
    dirty: readonly Operation[],
    unsure: boolean,
  ): Life => ({ ...live(zones, order, connector, operations, dirty), unsure }),
);
const lifeIn = keyed((reading: Reading, id: string) => livesIn(reading).get(id));

/** Puts the lives of before in the place of those that tell the same: most of what is done near one does not concern it. */
function keepLives(before: ReadonlyMap<string, Life>, now: Map<string, Life>): boolean {
  for (const [id, life] of now) {
    const known = before.get(id);
    if (known && known !== life && sameLife(known, life)) now.set(id, known);
  }
  return sameEntries(before, now);
}

const sameLife = (before: Life, now: Life): boolean =>
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

/** Connectors named by a step whose task is not known or whose text is broken, or meant by a name that is misspelt. */
const unsureInRun = once((run: readonly Operation[], known: ReadonlyMap<string, Connector>): string[] => {
  const unsure: string[] = [];
  for (const { task, step, connectors } of run) {
    for (const { value } of connectors) {
      if (!known.has(value)) {
        const meant = nearest(value, known.keys());
        if (meant !== undefined) unsure.push(meant);
      } else if (!task || step.node.broken) unsure.push(value);
    }
  }
  return unsure;
});

/** The lives of which something holds that follows from each alone. */
export function livesThat(holds: (life: Life) => boolean): (plan: Plan) => readonly Life[] {
  const found = query((reading: Reading) => [...livesIn(reading).values()].filter(holds), sameMembers);
  return ({ reading }) => found(reading);
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
