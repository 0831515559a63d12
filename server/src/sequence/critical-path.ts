import { mapDefined } from '../base/collections.ts';
import { query } from '../incremental/query.ts';
import type { Operation } from '../plan/operations.ts';
import { SnapshotPlan } from '../plan/plan.ts';
import type { Plan } from '../plan/plan.ts';
import type { Snapshot } from '../plan/snapshot.ts';
import { sequenceOf } from './lives.ts';

/** When a node of the order can and must be done. Unit: milliseconds from the start of the plan, whole numbers. */
export interface NodeTiming {
  readonly earliestStart: number;
  readonly earliestFinish: number;
  readonly latestStart: number;
  readonly latestFinish: number;
  /** How much later it may start without delaying the whole. */
  readonly slack: number;
}

export interface GraphTiming {
  /** One per node. */
  readonly slots: readonly NodeTiming[];
  readonly finish: number;
  /** One longest chain of nodes, first to last: every one of them waits for the one before it. */
  readonly criticalPath: readonly number[];
}

/**
 * The critical path method on a partial order: a forward pass for the earliest times, a backward pass for the latest.
 * @param sorted every node after all it waits for
 * @param durations whole numbers, so that no slack is left over from rounding
 */
export function criticalPathMethod(
  predecessors: readonly (readonly number[])[],
  sorted: readonly number[],
  durations: readonly number[],
): GraphTiming {
  const count = predecessors.length;
  const earliestFinish = new Array<number>(count).fill(0);
  const starts = (node: number): number =>
    predecessors[node]!.reduce((latest, earlier) => Math.max(latest, earliestFinish[earlier]!), 0);
  for (const node of sorted) earliestFinish[node] = starts(node) + durations[node]!;
  const finish = earliestFinish.reduce((latest, one) => Math.max(latest, one), 0);
  const latestFinish = new Array<number>(count).fill(finish);
  for (const node of [...sorted].reverse()) {
    const latestStart = latestFinish[node]! - durations[node]!;
    for (const earlier of predecessors[node]!) {
      latestFinish[earlier] = Math.min(latestFinish[earlier]!, latestStart);
    }
  }
  const slots = durations.map((duration, node): NodeTiming => {
    const latestStart = latestFinish[node]! - duration;
    const earliestStart = earliestFinish[node]! - duration;
    return {
      earliestStart,
      earliestFinish: earliestFinish[node]!,
      latestStart,
      latestFinish: latestFinish[node]!,
      slack: latestStart - earliestStart,
    };
  });
  return { slots, finish, criticalPath: longestChain(predecessors, sorted, slots, finish) };
}

function longestChain(
  predecessors: readonly (readonly number[])[],
  sorted: readonly number[],
  slots: readonly NodeTiming[],
  finish: number,
): number[] {
  const chain: number[] = [];
  // Backwards from the last of the nodes that finish last, always to one that finishes when the current one
  // starts.
  let node = sorted.findLast((one) => slots[one]!.earliestFinish === finish);
  while (node !== undefined) {
    chain.push(node);
    const { earliestStart }: NodeTiming = slots[node]!;
    node = predecessors[node]!.findLast((earlier) => slots[earlier]!.earliestFinish === earliestStart);
  }
  return chain.reverse();
}

export interface TimedOperation extends NodeTiming {
  readonly operation: Operation;
  /** Milliseconds; 0 where the plan states no time. */
  readonly duration: number;
  readonly stated: boolean;
  /** Any delay of it delays the finish. */
  readonly critical: boolean;
}

/** Two steps of one person that overlap at their earliest times. */
type PersonConflict = readonly [TimedOperation, TimedOperation];

/**
 * The earliest plan that the order alone allows. People impose no order: if one person is needed in two
 * places at once (`clashes`), the real finish is later.
 */
export interface Schedule {
  /** In an order the plan allows. */
  readonly operations: readonly TimedOperation[];
  of(operation: Operation): TimedOperation;
  /** Milliseconds. */
  readonly finish: number;
  /** One longest chain of operations. */
  readonly criticalPath: readonly TimedOperation[];
  /** They count as no time at all. */
  readonly untimed: readonly Operation[];
  readonly clashes: readonly PersonConflict[];
}

/** A longer step (about 31 years) is taken for a typo and treated as untimed. Unit: milliseconds. */
const longest = 1e12;

/** Whole milliseconds, or undefined for a time that is missing, negative or beyond all sense. */
function millisecondsOf({ time }: Operation): number | undefined {
  const duration = time && Math.round(time.si * 1000);
  return duration !== undefined && duration >= 0 && duration <= longest ? duration : undefined;
}

/** The schedule of a plan, computed once; `undefined` if its order has a cycle. */
export const scheduleOf = ({ reading }: Plan): Schedule | undefined => scheduleIn(reading);

const scheduleIn = query((reading: Snapshot) =>
  makeSchedule(new SnapshotPlan(reading), (operation) => millisecondsOf(operation) ?? 0),
);

/** Like `scheduleOf`, with every step lasting one unit; shows the order of a plan that states no times. */
export const stepwiseScheduleOf = (plan: Plan): Schedule | undefined => makeSchedule(plan, () => 1);

function makeSchedule(plan: Plan, durationOf: (operation: Operation) => number): Schedule | undefined {
  const { order } = sequenceOf(plan);
  if (order.circle) return undefined;
  const { predecessors, nodes } = plan.network;
  const durations = predecessors.map(() => 0);
  plan.operations.forEach((operation, i) => (durations[nodes[i]!] = durationOf(operation)));
  const { slots, finish, criticalPath } = criticalPathMethod(predecessors, order.sorted, durations);
  const timed = new Map<number, TimedOperation>();
  const timeOf = new Map<Operation, TimedOperation>();
  for (const [i, operation] of plan.operations.entries()) {
    const node = nodes[i]!;
    const slot = slots[node]!;
    const one: TimedOperation = {
      operation,
      duration: durations[node]!,
      stated: millisecondsOf(operation) !== undefined,
      ...slot,
      critical: slot.slack === 0,
    };
    timed.set(node, one);
    timeOf.set(operation, one);
  }
  const operations = mapDefined(order.sorted, (node) => timed.get(node));
  return {
    operations,
    of: (operation) => timeOf.get(operation)!,
    finish,
    criticalPath: mapDefined(criticalPath, (node) => timed.get(node)),
    untimed: operations.filter(({ stated }) => !stated).map(({ operation }) => operation),
    clashes: clashesIn(operations),
  };
}

function clashesIn(operations: readonly TimedOperation[]): PersonConflict[] {
  const byPerson = new Map<string, TimedOperation[]>();
  for (const timed of operations) {
    const person = timed.operation.by?.value;
    if (person === undefined || timed.duration === 0) continue;
    byPerson.set(person, [...(byPerson.get(person) ?? []), timed]);
  }
  return [...byPerson.values()].flatMap((own) => {
    const clashes: PersonConflict[] = [];
    let busy: TimedOperation | undefined;
    for (const timed of own.sort((a, b) => a.earliestStart - b.earliestStart)) {
      if (busy && timed.earliestStart < busy.earliestFinish) clashes.push([busy, timed]);
      if (!busy || timed.earliestFinish > busy.earliestFinish) busy = timed;
    }
    return clashes;
  });
}
