/** Where dirt may meet a bare half: steps that raise it and find a half of a connector neither closed nor covered. */
import { emptyList, pairKeys } from '../../base/collections.ts';
import { keyedQuery, sameMembers } from '../../incremental/query.ts';
import type { Operation } from '../../plan/operations.ts';
import { SnapshotPlan } from '../../plan/plan.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Snapshot } from '../../plan/snapshot.ts';
import type { Half } from '../../plan/steps.ts';
import { contaminating } from '../../plan/tables/tasks.ts';
import type { Hazard } from '../../plan/tables/tasks.ts';
import { reachedFrom, touches } from '../life.ts';
import type { ConnectorEvent, ConnectorHistory } from '../life.ts';
import { sequenceOf } from '../lives.ts';
import type { Sequence } from '../lives.ts';
import { sameTimeline, unmetSteps } from './at-steps.ts';
import type { StepTimeline } from './at-steps.ts';
import { ConnectorFacts } from './timeline.ts';

/** A time in which halves of a connector are bare, and what may meet them there. */
export interface Window {
  readonly halves: readonly Half[];
  /** The disconnecting or uncovering that bares them. */
  readonly opened: ConnectorEvent;
  /** The covering or reconnecting that ends it; undefined when nothing does. */
  readonly closed: ConnectorEvent | undefined;
  readonly hazards: readonly PossibleHazard[];
}

/** A step that raises something where a bare connector is. */
export interface PossibleHazard {
  readonly operation: Operation;
  readonly raises: readonly Hazard[];
  /** It certainly comes while the halves are bare, rather than only on some order the plan allows. */
  readonly certain: boolean;
  /** It certainly comes after the opening. */
  readonly follows: boolean;
  /** The zone it works in, when that only adjoins the connector's. */
  readonly from: string | undefined;
}

/** The windows of a connector, earlier first: its events replayed in an order the plan allows, hazards on every order. */
export const windowsOf = ({ reading }: Plan, { connector }: ConnectorHistory): readonly Window[] =>
  windowsIn(reading, connector.id);

const windowsIn = keyedQuery((reading: Snapshot, id: string): readonly Window[] => {
  const plan = new SnapshotPlan(reading);
  const sequence = sequenceOf(plan);
  const life = sequence.life(id);
  return life ? windows(plan, sequence, life) : emptyList;
}, sameWindows);

/** When halves of a connector that every step handles alike are protected. */
interface Protection {
  readonly halves: readonly Half[];
  readonly timeline: StepTimeline;
}

/** By connector; nothing of an unknown one. */
export const protectionOf = keyedQuery(
  (reading: Snapshot, id: string): readonly Protection[] => {
    const plan = new SnapshotPlan(reading);
    const sequence = sequenceOf(plan);
    const life = sequence.life(id);
    if (!life) return emptyList;
    const facts = new ConnectorFacts(plan, sequence, life);
    return facts.halves.map((halves) => ({ halves, timeline: facts.timeline('protected', halves[0]) }));
  },
  (before, now) =>
    before.length === now.length &&
    before.every(({ timeline }, i) => sameTimeline(timeline, now[i]!.timeline)),
);

interface Stretch {
  readonly half: Half;
  readonly opened: ConnectorEvent;
  readonly closed: ConnectorEvent | undefined;
  readonly met: Set<Operation>;
}

function windows(plan: Plan, sequence: Sequence, life: ConnectorHistory): readonly Window[] {
  const { order } = sequence;
  const { connector } = life;
  if (!life.events.some(({ act }) => act === 'disconnect')) return emptyList;
  const dirty = sequence.reaching(connector.zone, contaminating);
  const nameOf = pairKeys();
  const found = new Map<string, { halves: Half[]; stretch: Stretch; met: Set<Operation> }>();
  for (const { halves, timeline } of protectionOf(plan.reading, connector.id)) {
    const stretches = replay(life, halves[0]!);
    for (const { step, verdict } of unmetSteps(order, timeline, dirty)) {
      for (const culprit of verdict.culprits) {
        stretches.findLast(({ opened }) => order.compare(opened.operation, culprit) <= 0)?.met.add(step);
      }
    }
    for (const stretch of stretches) {
      const key = nameOf(stretch.opened.operation, stretch.closed?.operation);
      const known = found.get(key);
      if (!known) found.set(key, { halves: [...halves], stretch, met: stretch.met });
      else {
        known.halves.push(...halves);
        for (const step of stretch.met) known.met.add(step);
      }
    }
  }
  return [...found.values()].map(({ halves, stretch: { opened, closed }, met }) => ({
    halves,
    opened,
    closed,
    hazards: [...met]
      .sort((a, b) => order.compare(a, b))
      .map((operation): PossibleHazard => {
        const where = reachedFrom(plan.scope.zones, operation, connector.zone, contaminating);
        const follows = order.before(opened.operation, operation);
        return {
          operation,
          raises: operation.task!.raises.filter((hazard) => contaminating.has(hazard)),
          certain: follows && (closed === undefined || order.before(operation, closed.operation)),
          follows,
          from: where === connector.zone || where === '' ? undefined : where,
        };
      }),
  }));
}

/** Whether two lists say the same, member by member. */
function sameWindows(before: readonly Window[], now: readonly Window[]): boolean {
  return (
    before.length === now.length &&
    before.every((window, i) => {
      const other = now[i]!;
      return (
        window.opened === other.opened &&
        window.closed === other.closed &&
        sameMembers(window.halves, other.halves) &&
        window.hazards.length === other.hazards.length &&
        window.hazards.every((hazard, place) => sameHazard(hazard, other.hazards[place]!))
      );
    })
  );
}

const sameHazard = (before: PossibleHazard, now: PossibleHazard): boolean =>
  before.operation === now.operation &&
  before.certain === now.certain &&
  before.follows === now.follows &&
  before.from === now.from &&
  sameMembers(before.raises, now.raises);

/** The times in which one half is bare. */
function replay({ events }: ConnectorHistory, half: Half): Stretch[] {
  const own = events.filter(({ operation }) => touches(operation, half));
  const stretches: Stretch[] = [];
  let apart = false;
  let bare = false;
  own.forEach((opened, place) => {
    const wasBare = bare;
    if (opened.act === 'disconnect') apart = true;
    if (opened.act === 'reconnect') apart = false;
    // A cover over a closed connector keeps spray off its outside; taking it off bares no contact.
    bare = opened.act === 'disconnect' || (opened.act === 'uncover' && apart);
    // Opening what is open already starts no second window.
    if (!bare || wasBare) return;
    const closed = own.slice(place + 1).find(({ act }) => act === 'cover' || act === 'reconnect');
    stretches.push({ half, opened, closed, met: new Set() });
  });
  return stretches;
}
