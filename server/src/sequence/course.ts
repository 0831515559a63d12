import { classRules } from '../plan/tables/classes.ts';
import type { Operation } from '../plan/operations.ts';
import type { Half } from '../plan/steps.ts';
import { bothHalves } from '../plan/steps.ts';
import type { Connector } from '../plan/scope.ts';
import type { Plan } from '../plan/plan.ts';
import { operationsOn } from './facts/use.ts';
import { touches } from './life.ts';
import { sequenceOf } from './lives.ts';
import type { ConnectorEvent, ConnectorHistory } from './life.ts';
import { windowsOf } from './facts/exposure.ts';
import type { PossibleHazard, Window } from './facts/exposure.ts';
import type { Sequence } from './lives.ts';
import type { Schedule } from './critical-path.ts';

/**
 * The state of a connector's worse half: not yet opened, bare, bare while dirt may be raised, covered, closed
 * with something still to be proven, or closed and proven as its class asks.
 */
export type State = 'mated' | 'open' | 'exposed' | 'covered' | 'closed' | 'proven';

/** An interval of one state. Unit: milliseconds on the schedule. */
export interface StateInterval {
  readonly state: State;
  readonly from: number;
  readonly to: number;
  /** Hazards that may occur while it is bare, at the scheduled time or in another order the plan allows. */
  readonly hazards: readonly PossibleHazard[];
}

/** The states of one connector over the schedule. */
export interface ConnectorStates {
  readonly connector: Connector;
  readonly life: ConnectorHistory;
  /** In order and without gaps; empty when nothing certain can be said. */
  readonly stretches: readonly StateInterval[];
}

/** The courses of all connectors: those that steps name in the order in which they are first touched, then the others. */
export function connectorStates(plan: Plan, schedule: Schedule): readonly ConnectorStates[] {
  const sequence = sequenceOf(plan);
  const named = [...sequence.lives.values()].filter(({ operations }) => operations.length > 0);
  const others = [...sequence.lives.values()].filter(({ operations }) => operations.length === 0);
  named.sort((a, b) => sequence.order.compare(a.operations[0]!, b.operations[0]!));
  return [...named, ...others].map((life) => ({
    connector: life.connector,
    life,
    stretches: life.unsure || life.unclear ? [] : stretchesOf(plan, life, sequence, schedule),
  }));
}

/** Bare from the moment an opening starts, safe again only when a covering or closing is finished. */
const takesEffect = ({ act, operation }: ConnectorEvent, schedule: Schedule): number => {
  const { earliestStart, earliestFinish } = schedule.of(operation);
  return act === 'disconnect' || act === 'uncover' ? earliestStart : earliestFinish;
};

function stretchesOf(
  plan: Plan,
  life: ConnectorHistory,
  sequence: Sequence,
  schedule: Schedule,
): StateInterval[] {
  const halves = new Map<Half, 'mated' | 'bare' | 'covered'>(bothHalves.map((half) => [half, 'mated']));
  const windows = windowsOf(plan, life);
  const found: StateInterval[] = [];
  let from = 0;
  let state: State = 'mated';
  let hazards: readonly PossibleHazard[] = [];
  const turn = (at: number, next: State, meetings: readonly PossibleHazard[] = []): void => {
    const last = found.at(-1);
    // Merge equal states: when only one half changes, the connector's state may not.
    if (at > from) {
      if (last?.state !== state) found.push({ state, from, to: at, hazards });
      else found[found.length - 1] = { ...last, to: at, hazards: distinct([...last.hazards, ...hazards]) };
      from = at;
    }
    state = next;
    hazards = meetings;
  };
  life.events.forEach((event, i) => {
    for (const half of bothHalves) {
      if (!touches(event.operation, half)) continue;
      const opens = event.act === 'disconnect' || event.act === 'uncover';
      halves.set(half, opens ? 'bare' : event.act === 'cover' ? 'covered' : 'mated');
    }
    const at = takesEffect(event, schedule);
    const now = [...halves.values()];
    if (now.includes('bare')) {
      const meetings = meetingsAfter(life, windows, i);
      turn(at, meetings.length > 0 ? 'exposed' : 'open', meetings);
    } else if (now.includes('covered')) turn(at, 'covered');
    else {
      turn(at, 'closed');
      const next = life.events[i + 1];
      const proven = provenAt(life, event.operation, next?.operation, sequence, schedule);
      if (proven !== undefined) turn(proven, 'proven');
    }
  });
  turn(schedule.finish, state);
  return found;
}

/** The hazards of the windows that are open after event `position`. */
function meetingsAfter(
  life: ConnectorHistory,
  windows: readonly Window[],
  position: number,
): PossibleHazard[] {
  const upTo = life.events.slice(0, position + 1).map(({ operation }) => operation);
  const open = windows.filter(
    ({ opened, closed }) => upTo.includes(opened.operation) && !(closed && upTo.includes(closed.operation)),
  );
  return distinct(open.flatMap(({ hazards }) => hazards));
}

const distinct = (meetings: readonly PossibleHazard[]): PossibleHazard[] => [
  ...new Map(meetings.map((possibleHazard) => [possibleHazard.operation, possibleHazard])).values(),
];

/** When all tasks its class requires after closing are certain to be done, before it is next opened. */
function provenAt(
  { connector }: ConnectorHistory,
  closing: Operation,
  next: Operation | undefined,
  sequence: Sequence,
  schedule: Schedule,
): number | undefined {
  const { order } = sequence;
  const asked = connector.class ? classRules[connector.class].afterClosing : [];
  const needed = asked.filter((task) => task !== 'lock' || connector.lock);
  let last = schedule.of(closing).earliestFinish;
  for (const task of needed) {
    const done = operationsOn(sequence, connector, task).filter(
      (operation) =>
        order.before(closing, operation) && (next === undefined || order.before(operation, next)),
    );
    if (done.length === 0) return undefined;
    last = Math.max(last, Math.min(...done.map((operation) => schedule.of(operation).earliestFinish)));
  }
  return connector.class ? last : undefined;
}
