/** Readings at their place in the order: a reading belongs to the step named under `after`. */
import { addToGroup, emptyList } from '../base/collections.ts';
import { query, sameMembers } from '../incremental/query.ts';
import type { Operation } from '../plan/operations.ts';
import { SnapshotPlan } from '../plan/plan.ts';
import type { Measurement, Plan } from '../plan/plan.ts';
import type { Quantity } from '../plan/read.ts';
import type { Snapshot } from '../plan/snapshot.ts';
import { ConnectorFacts } from './facts/timeline.ts';
import { sequenceOf } from './lives.ts';
import type { Sequence } from './lives.ts';

/** A reading that has a value. */
export interface ValuedMeasurement extends Measurement {
  readonly value: Quantity;
}

/** The task that takes each kind of reading. */
const measuringTask: Readonly<Record<Measurement['kind'], string>> = {
  'contact-resistance': 'measure-resistance',
  insulation: 'measure-insulation',
  bonding: 'measure-bonding',
};

interface PlacedReading {
  readonly reading: ValuedMeasurement;
  /** The last operation of the step named under `after`; undefined without one, or if there is no such step. */
  readonly place: Operation | undefined;
}

export interface Readings {
  /** The readings that count: the last in the order of each kind and connector, several if their order is open. */
  readonly effective: readonly ValuedMeasurement[];
  /** Readings that do not say after which step they were taken, where the plan measures that more than once. */
  readonly unplaced: readonly ValuedMeasurement[];
  /** Readings that were taken before the connector was closed or locked for the last time, with the step that came too late. */
  readonly early: readonly {
    readonly reading: ValuedMeasurement;
    readonly place: Operation;
    readonly later: Operation;
  }[];
}

export const readingsIn = ({ reading }: Plan): Readings => allIn(reading);

/** The readings of one kind that count. */
export const effectiveReadings = (
  { reading }: Plan,
  kind: Measurement['kind'],
): readonly ValuedMeasurement[] => byKindIn(reading).get(kind) ?? emptyList;

/** The readings of one kind that count for a connector. */
export const readingsOn = (
  { reading }: Plan,
  kind: Measurement['kind'],
  connector: string,
): readonly ValuedMeasurement[] => byConnectorIn(reading).get(`${kind} ${connector}`) ?? emptyList;

/** The steps that measure a kind of reading at a connector, in an order the plan allows. */
export const measuringSteps = (
  sequence: Sequence,
  connector: string,
  kind: Measurement['kind'],
): readonly Operation[] =>
  sequence.life(connector)?.operations.filter(({ taskId }) => taskId === measuringTask[kind]) ?? emptyList;

const allIn = query((reading: Snapshot): Readings => {
  const plan = new SnapshotPlan(reading);
  const sequence = sequenceOf(plan);
  const effective: ValuedMeasurement[] = [];
  const unplaced: ValuedMeasurement[] = [];
  const early: { reading: ValuedMeasurement; place: Operation; later: Operation }[] = [];
  const groups = new Map<string, PlacedReading[]>();
  for (const measurement of plan.measurements) {
    if (!measurement.value) continue;
    const place =
      measurement.after && lastOf(plan, sequence, measurement.connector.value, measurement.after.value);
    addToGroup(groups, `${measurement.kind} ${measurement.connector.value}`, {
      reading: measurement as ValuedMeasurement,
      place,
    });
  }
  for (const group of groups.values()) {
    const { connector, kind } = group[0]!.reading;
    // Without an order, or about a connector of which nothing is certain, every reading counts.
    const life = sequence.order.circle ? undefined : sequence.life(connector.value);
    if (!life || life.unsure) {
      effective.push(...group.map((placedReading) => placedReading.reading));
      continue;
    }
    const several = measuringSteps(sequence, connector.value, kind).length > 1;
    const facts = new ConnectorFacts(plan, sequence, life);
    const counting = group.filter(({ reading: measurement, place }) => {
      if (!place) {
        if (several) unplaced.push(measurement);
        return !several;
      }
      const later = notYet(facts, place);
      if (later) early.push({ reading: measurement, place, later });
      return !later;
    });
    // Measured once, the last line corrects the others; measured again, the last in the order counts.
    const standing = several
      ? counting.filter(
          ({ place }, i) =>
            !counting.some(
              (other, j) => sequence.order.before(place!, other.place!) || (j > i && other.place === place),
            ),
        )
      : counting.slice(-1);
    for (const placedReading of standing) effective.push(placedReading.reading);
  }
  return { effective, unplaced, early };
}, sameReadings);

function sameReadings(before: Readings, now: Readings): boolean {
  return (
    sameMembers(before.effective, now.effective) &&
    sameMembers(before.unplaced, now.unplaced) &&
    before.early.length === now.early.length &&
    before.early.every(({ reading, place, later }, i) => {
      const other = now.early[i]!;
      return reading === other.reading && place === other.place && later === other.later;
    })
  );
}

const byKindIn = query((reading: Snapshot) => grouped(allIn(reading).effective, ({ kind }) => kind));
const byConnectorIn = query((reading: Snapshot) =>
  grouped(allIn(reading).effective, ({ kind, connector }) => `${kind} ${connector.value}`),
);

function grouped(
  readings: readonly ValuedMeasurement[],
  keyOf: (reading: ValuedMeasurement) => string,
): ReadonlyMap<string, readonly ValuedMeasurement[]> {
  const groups = new Map<string, ValuedMeasurement[]>();
  for (const measurement of readings) addToGroup(groups, keyOf(measurement), measurement);
  return groups;
}

/** The last operation of a plan's own step; mostly one that names the connector. */
function lastOf(plan: Plan, sequence: Sequence, connector: string, id: string): Operation | undefined {
  const named = sequence
    .life(connector)
    ?.operations.find(({ planStep, step }) => planStep === step && step.id === id);
  if (named) return named;
  const step = plan.step(id);
  return step && plan.operationsOf(step).at(-1);
}

/** The closing or locking that is not certain to be done when a reading is taken after `place`, though the plan does it later. */
function notYet(facts: ConnectorFacts, place: Operation): Operation | undefined {
  const { order } = facts.sequence;
  for (const [fact, task] of [
    ['closed', 'reconnect'],
    ['locked', 'lock'],
  ] as const) {
    if (place.taskId === task || (fact === 'locked' && !facts.connector.lock)) continue;
    const { makers, enders } = facts.timeline(fact);
    // The reading comes after the step: what the step itself ends does not hold then.
    if (facts.isMet(fact, place) && !enders.includes(place)) continue;
    const later = makers.find((maker) => maker !== place && !order.before(maker, place));
    if (later) return later;
  }
  return undefined;
}
