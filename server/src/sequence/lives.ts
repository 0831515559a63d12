import { fastFlatMap, addToGroup, emptyList } from '../base/collections.ts';
import { nearest } from '../base/nearest.ts';
import { memoByIdentity } from '../incremental/memo.ts';
import {
  keepGroups,
  entryQuery,
  keyedQuery,
  memoByKey,
  query,
  sameEntries,
  sameMembers,
} from '../incremental/query.ts';
import { chunker } from '../incremental/chunks.ts';
import type { Connector } from '../plan/scope.ts';
import type { Operation } from '../plan/operations.ts';
import { filterQuery, SnapshotPlan } from '../plan/plan.ts';
import type { Plan } from '../plan/plan.ts';
import type { Snapshot } from '../plan/snapshot.ts';
import type { Hazard } from '../plan/tables/tasks.ts';
import type { Zones } from '../plan/tables/zones.ts';
import { traceConnector, reachedFrom, sameLife } from './life.ts';
import type { ConnectorHistory } from './life.ts';
import { GraphOrder } from './partial-order.ts';
import { OperationOrder } from './operation-order.ts';

export interface Sequence {
  readonly order: OperationOrder;
  /** By connector id; empty if the order has a cycle. */
  readonly lives: ReadonlyMap<string, ConnectorHistory>;
  life(connector: string): ConnectorHistory | undefined;
  /** Power-up, move, road test, handing over: earlier first, in an order the plan allows. */
  readonly gates: readonly Operation[];
  /** Operations that somebody does by hand on the vehicle and that are no gates, earlier first. */
  readonly byHand: readonly Operation[];
  /**
   * Operations that do `task` and name no connector: those for the whole vehicle, then those for `zone`, each
   * in order.
   */
  around(task: string, zone: string | undefined): readonly Operation[];
  /** Operations that do `task` in `zone`, or name no zone and may do it there, whatever else they name; earlier first. */
  workingIn(zone: string | undefined, task: string): readonly Operation[];
  /** Operations that raise any of `kinds` where `zone` is, earlier first. */
  reaching(zone: string | undefined, kinds: ReadonlySet<Hazard>): readonly Operation[];
}

/**
 * The analysis of a plan. Each part is computed on first use and kept while its dependencies are unchanged.
 */
export const sequenceOf = ({ reading }: Plan): Sequence => new ReadSequence(reading);

class ReadSequence implements Sequence {
  constructor(readonly reading: Snapshot) {}

  get order(): OperationOrder {
    return orderIn(this.reading);
  }
  get lives(): ReadonlyMap<string, ConnectorHistory> {
    return livesIn(this.reading);
  }
  life(connector: string): ConnectorHistory | undefined {
    return lifeIn(this.reading, connector);
  }
  get gates(): readonly Operation[] {
    return gatesIn(this.reading);
  }
  get byHand(): readonly Operation[] {
    return byHandIn(this.reading);
  }
  around(task: string, zone: string | undefined): readonly Operation[] {
    return aroundIn(this.reading, `${zone ?? ''}\n${task}`);
  }
  workingIn(zone: string | undefined, task: string): readonly Operation[] {
    return workingInZone(this.reading, `${zone ?? ''}\n${task}`);
  }
  reaching(zone: string | undefined, kinds: ReadonlySet<Hazard>): readonly Operation[] {
    return reachingIn(this.reading, `${zone ?? ''}\n${listed(kinds)}`);
  }
}

const orderOfNodesIn = query(
  (reading: Snapshot) => new GraphOrder(new SnapshotPlan(reading).network.predecessors),
);
const orderIn = query(
  (reading: Snapshot) => {
    const { operations, network } = new SnapshotPlan(reading);
    return new OperationOrder(operations, network.nodes, orderOfNodesIn(reading));
  },
  (before, now) => before.tryAdopt(now),
);

/** In an order the plan allows; in text order if the order has a cycle. */
const sortedIn = query((reading: Snapshot): readonly Operation[] => {
  const order = orderIn(reading);
  const { operations } = new SnapshotPlan(reading);
  return order.circle ? operations : [...operations].sort((a, b) => order.compare(a, b));
}, sameMembers);

const runsOf = chunker<Operation>();
/** `sortedIn` in chunks; an edit replaces only a few of them. */
const sortedRunsIn = query((reading: Snapshot) => runsOf(sortedIn(reading)));
const gatesIn = query(
  (reading: Snapshot) => fastFlatMap(sortedRunsIn(reading), (run) => gatesInRun(run)),
  sameMembers,
);
const gatesInRun = memoByIdentity((run: readonly Operation[]) => run.filter(({ task }) => task?.gate));
const byHandIn = query(
  (reading: Snapshot) => fastFlatMap(sortedRunsIn(reading), (run) => byHandInRun(run)),
  sameMembers,
);
const byHandInRun = memoByIdentity((run: readonly Operation[]) =>
  run.filter(({ task }) => task?.handsOn === true && !task.gate),
);
const raisingIn = query(
  (reading: Snapshot) => fastFlatMap(sortedRunsIn(reading), (run) => raisingInRun(run)),
  sameMembers,
);
const raisingInRun = memoByIdentity((run: readonly Operation[]) =>
  run.filter(({ task }) => task && task.raises.length > 0),
);
const raisingRunsIn = query((reading: Snapshot) => runsOfRaising(raisingIn(reading)));
const runsOfRaising = chunker<Operation>();
const listed = memoByIdentity((kinds: ReadonlySet<Hazard>): string => [...kinds].join());
const reachingIn = keyedQuery((reading: Snapshot, key: string): readonly Operation[] => {
  const { zones } = new SnapshotPlan(reading).scope;
  return fastFlatMap(raisingRunsIn(reading), (run) => reachingInRun(run, zones)(key));
}, sameMembers);
const reachingInRun = memoByIdentity((run: readonly Operation[], zones: Zones) =>
  memoByKey((key: string) => {
    const [zone, kinds] = key.split('\n') as [string, string];
    const wanted = new Set(kinds.split(',') as Hazard[]);
    return run.filter(
      (operation) => reachedFrom(zones, operation, zone === '' ? undefined : zone, wanted) !== undefined,
    );
    // A run may stay while zones are typed.
  }, 64),
);

/** Operations that name no connector: by task and zone, without one for those that concern the whole vehicle. */
const unnamedInRun = memoByIdentity(
  (run: readonly Operation[]): ReadonlyMap<string, readonly Operation[]> => {
    const found = new Map<string, Operation[]>();
    for (const operation of run) {
      if (operation.connectors.length > 0) continue;
      for (const zone of operation.zones.length > 0 ? new Set(operation.zones) : ['']) {
        addToGroup(found, `${zone}\n${operation.taskId}`, operation);
      }
    }
    return found;
  },
);
const unnamedIn = keyedQuery(
  (reading: Snapshot, key: string): readonly Operation[] =>
    fastFlatMap(sortedRunsIn(reading), (run) => unnamedInRun(run).get(key) ?? emptyList),
  sameMembers,
);
const aroundIn = keyedQuery((reading: Snapshot, key: string): readonly Operation[] => {
  const everywhere = key.slice(key.indexOf('\n'));
  const here = key === everywhere ? [] : unnamedIn(reading, key);
  return [...unnamedIn(reading, everywhere), ...here];
}, sameMembers);

const workingInZone = keyedQuery((reading: Snapshot, key: string): readonly Operation[] => {
  const [zone, task] = key.split('\n') as [string, string];
  return fastFlatMap(sortedRunsIn(reading), (run) => byTaskInRun(run).get(task) ?? emptyList).filter(
    ({ zones }) => zones.length === 0 || zone === '' || zones.includes(zone),
  );
}, sameMembers);
const byTaskInRun = memoByIdentity((run: readonly Operation[]): ReadonlyMap<string, readonly Operation[]> => {
  const found = new Map<string, Operation[]>();
  for (const operation of run) addToGroup(found, operation.taskId, operation);
  return found;
});

/** The operations of a run by the connectors that they name. */
const namingInRun = memoByIdentity((run: readonly Operation[]): ReadonlyMap<string, readonly Operation[]> => {
  const found = new Map<string, Operation[]>();
  for (const operation of run) {
    for (const name of new Set(operation.connectors.map(({ value }) => value)))
      addToGroup(found, name, operation);
  }
  return found;
});
const namingIn = query((reading: Snapshot) => {
  const found = new Map<string, readonly Operation[]>();
  for (const run of sortedRunsIn(reading)) {
    for (const [name, operations] of namingInRun(run)) {
      const known = found.get(name);
      // As a rule all operations at a connector are in one run.
      found.set(name, known ? [...known, ...operations] : operations);
    }
  }
  return found;
}, keepGroups);

/** Connectors whose history is uncertain. */
const unsureIn = query(
  (reading: Snapshot): ReadonlySet<string> => {
    const { connectors } = new SnapshotPlan(reading).scope;
    return new Set(fastFlatMap(sortedRunsIn(reading), (run) => unsureInRun(run, connectors)));
  },
  (before, now) => sameMembers([...before], [...now]),
);

const livesIn = query((reading: Snapshot): ReadonlyMap<string, ConnectorHistory> => {
  const lives = new Map<string, ConnectorHistory>();
  const order = orderIn(reading);
  if (order.circle) return lives;
  const { scope, unknownCalls } = new SnapshotPlan(reading);
  const { connectors } = scope;
  const naming = namingIn(reading);
  const unsure = unsureIn(reading);
  for (const [id, connector] of connectors) {
    const isUnsure = unknownCalls.length > 0 || unsure.has(id);
    const operations = naming.get(id) ?? emptyList;
    lives.set(id, lifeOf(connector, order, operations, isUnsure));
  }
  return lives;
}, sameEntries);
const lifeOf = memoByIdentity(
  (
    connector: Connector,
    order: OperationOrder,
    operations: readonly Operation[],
    unsure: boolean,
  ): ConnectorHistory => ({
    ...traceConnector(order, connector, operations),
    unsure,
  }),
  // Nearby operations often change without affecting the history, so compare the result.
  sameLife,
);
const lifeIn = entryQuery(livesIn);

/** Connectors named by a step whose task is not known or whose text is broken, or meant by a name that is misspelt. */
const unsureInRun = memoByIdentity(
  (run: readonly Operation[], known: ReadonlyMap<string, Connector>): string[] => {
    const unsure: string[] = [];
    for (const { task, step, connectors } of run) {
      for (const { value } of connectors) {
        if (!known.has(value)) {
          const meant = nearest(value, known.keys());
          if (meant !== undefined) unsure.push(meant);
        } else if (!task || step.node.partlyParsed) unsure.push(value);
      }
    }
    return unsure;
  },
);

const historyRunsOf = chunker<ConnectorHistory>();
/** Defines a query for the histories that satisfy `holds`, which must depend on the history alone. */
export const historiesWhere = filterQuery(
  query((reading: Snapshot) => historyRunsOf([...livesIn(reading).values()])),
);
