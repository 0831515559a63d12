/** What is not certain of each connector when the vehicle is powered, moved or handed over. */
import { addToGroup, emptyList } from '../../base/collections.ts';
import { keepGroups, keyedQuery, query, sameMembers } from '../../incremental/query.ts';
import { mayCarryHighVoltage, stepsAtIsolating } from '../../plan/high-voltage.ts';
import type { Operation } from '../../plan/operations.ts';
import { SnapshotPlan } from '../../plan/plan.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Connector } from '../../plan/scope.ts';
import type { Snapshot } from '../../plan/snapshot.ts';
import { bothHalves } from '../../plan/steps.ts';
import { beforeUse } from '../../plan/tables/effects.ts';
import type { ConnectorFact, UseRow } from '../../plan/tables/effects.ts';
import { isFuel, isUnderPressure } from '../../plan/tables/fluids.ts';
import { mayStayOpenInBays, wakesPumps } from '../../plan/tables/needs.ts';
import type { ConnectorEvent, ConnectorHistory } from '../life.ts';
import { sequenceOf } from '../lives.ts';
import type { Sequence } from '../lives.ts';
import { ConnectorFacts, isVehicleFactMet } from './timeline.ts';

/** The events that close a connector, in order; none where nothing certain can be said about it. */
export function closings({ events, unsure, unclear }: ConnectorHistory): readonly ConnectorEvent[] {
  return unsure || unclear ? emptyList : events.filter(({ act }) => act === 'reconnect');
}

/**
 * The steps that do `task` to a connector: those that name it, those that name no connector and happen in its zone,
 * and those that name neither connector nor zone, which mean the whole vehicle.
 */
export function operationsOn(sequence: Sequence, connector: Connector, task: string): readonly Operation[] {
  const named = sequence.life(connector.id)?.operations.filter(({ taskId }) => taskId === task) ?? [];
  return [...named, ...sequence.around(task, connector.zone)];
}

/** A connector that may still be open at a gate. */
export interface StillOpen {
  readonly connector: Connector;
  /** The disconnecting. */
  readonly opened: Operation;
  /** The gates at which it may be open, earlier first. */
  readonly gates: readonly Operation[];
  /** What it means at these gates: `covered` where the vehicle is moved between bays with both halves covered. */
  readonly as: OpenAs;
}

/** `covered`: a sensor or a lamp with both halves covered, while the vehicle is moved between bays. `earth`: an earth, while it is powered up. */
type OpenAs = 'open' | 'covered' | 'earth';

/** A fact that must hold before the vehicle is used and is not certain. */
export interface Unproven {
  readonly fact: ConnectorFact;
  readonly connector: Connector;
  /** The closing after which it is owed, or the step that undid it. */
  readonly closing: Operation;
  /** The gate that comes too soon; undefined where the plan ends without one. */
  readonly before: Operation | undefined;
  /** The work that undid an earlier proof, where that is what is wrong. */
  readonly undoneBy: Operation | undefined;
}

/** A connector that a step may have knocked loose, and the first gate that finds it so. */
export interface Unseated {
  readonly connector: Connector;
  readonly gate: Operation;
  /** Earlier first, at least one. */
  readonly knocks: readonly Operation[];
}

interface Use {
  readonly open: readonly StillOpen[];
  readonly unproven: readonly Unproven[];
  readonly unseated: Unseated | undefined;
}
const nothing: Use = { open: emptyList, unproven: emptyList, unseated: undefined };

const useOf = keyedQuery(
  (reading: Snapshot, id: string): Use => {
    const plan = new SnapshotPlan(reading);
    const sequence = sequenceOf(plan);
    const life = sequence.life(id);
    if (!life || life.unsure) return nothing;
    const { gates } = sequence;
    if (life.operations.length === 0 && gates.length === 0) return nothing;
    const facts = new ConnectorFacts(plan, sequence, life);
    const isHighVoltage = mayCarryHighVoltage(plan, life.connector);
    const uses = isHighVoltage ? highVoltageUsesIn(reading) : gates;
    const closed = isHighVoltage && !life.connector.isolates ? plugsBackIn(reading) : emptyList;
    const others = [...closed, ...pumpsWake(plan, facts)];
    const byOrder = (a: Operation, b: Operation): number => sequence.order.compare(a, b);
    const open = stillOpen(facts, others.length > 0 ? [...uses, ...others].sort(byOrder) : uses);
    const openAt = new Set(open.flatMap((one) => one.gates));
    const unproven: Unproven[] = [];
    for (const row of beforeUse) {
      if (applies(row, plan, life.connector)) unproven.push(...unprovenBy(row, facts, openAt, uses));
    }
    const unseated = knockedLoose(facts, openAt);
    return open.length + unproven.length === 0 && !unseated ? nothing : { open, unproven, unseated };
  },
  undefined,
  true,
);

/**
 * The gates and, as such, the steps at which another firm gets the vehicle with no lock certain to be on, since it may
 * power the vehicle up; earlier first.
 */
const highVoltageUsesIn = query((reading: Snapshot): readonly Operation[] => {
  const plan = new SnapshotPlan(reading);
  const handedOn = plan
    .operationsDoing('send-out')
    .filter((step) => !isVehicleFactMet(plan, 'locked-out', step));
  const { gates, order } = sequenceOf(plan);
  if (handedOn.length === 0) return gates;
  return [...gates, ...handedOn].sort((a, b) => order.compare(a, b));
}, sameMembers);

/** Steps that close a connector whose opening is the isolation: any other high-voltage connector is closed by then. */
const plugsBackIn = query(
  (reading: Snapshot): readonly Operation[] => stepsAtIsolating(new SnapshotPlan(reading), 'reconnect'),
  sameMembers,
);

/**
 * Steps that wake control units, and with them the pump or the tank valve behind a line of fuel or of brakes, while the line is not
 * certain to be empty.
 */
function pumpsWake(plan: Plan, facts: ConnectorFacts): readonly Operation[] {
  const { medium, shutOff } = facts.connector;
  return (isFuel(medium) || isUnderPressure(medium)) && shutOff !== 'self-sealing'
    ? [...wakesPumps]
        .flatMap((task) => plan.operationsDoing(task))
        .filter((step) => !facts.isMet('line-empty', step))
    : emptyList;
}

function stillOpen(facts: ConnectorFacts, gates: readonly Operation[]): StillOpen[] {
  const { connector } = facts;
  const found = new Map<Operation, Operation[]>();
  for (const { step, verdict } of facts.unmetAt('closed', gates)) {
    for (const opened of verdict.culprits) addToGroup(found, opened, step);
  }
  return [...found].flatMap(([opened, at]) => {
    const covered = at.filter((gate) => openAs(facts, gate) === 'covered');
    const others = at.filter((gate) => !covered.includes(gate));
    const as: OpenAs = others.every((gate) => openAs(facts, gate) === 'earth') ? 'earth' : 'open';
    return [
      ...(others.length > 0 ? [{ connector, opened, gates: others, as }] : []),
      ...(covered.length > 0 ? [{ connector, opened, gates: covered, as: 'covered' as const }] : []),
    ];
  });
}

const poweredUp: ReadonlySet<string> = new Set(['power-up', 'test-power']);

function openAs(facts: ConnectorFacts, gate: Operation): OpenAs {
  const { class: kind } = facts.connector;
  if (kind === 'earth' && poweredUp.has(gate.taskId)) return 'earth';
  return gate.taskId === 'move' &&
    kind !== undefined &&
    mayStayOpenInBays.has(kind) &&
    bothHalves.every((half) => facts.isMet('protected', gate, half))
    ? 'covered'
    : 'open';
}

const applies = ({ classes, only, notIsolating }: UseRow, plan: Plan, connector: Connector): boolean =>
  !(notIsolating && connector.isolates) &&
  (classes === 'all' || (connector.class !== undefined && classes.includes(connector.class))) &&
  (only === undefined || hasQuality(only, plan, connector));

function hasQuality(only: NonNullable<UseRow['only']>, plan: Plan, connector: Connector): boolean {
  if (only === 'high-voltage') return mayCarryHighVoltage(plan, connector);
  return only === 'hydraulic' ? connector.medium === 'hydraulic' : connector[only];
}

/** The gates by which a fact must hold; all where absent. */
const latestBy: Readonly<Record<UseRow['by'], readonly string[] | undefined>> = {
  gate: undefined,
  drive: ['move', 'roller-test', 'road-test', 'deliver'],
  road: ['roller-test', 'road-test', 'deliver'],
  deliver: ['deliver'],
};

/** The first gate too soon after each closing. A gate at which the connector may be open is a mistake of its own. */
function unprovenBy(
  { fact, by }: UseRow,
  facts: ConnectorFacts,
  openAt: ReadonlySet<Operation>,
  gates: readonly Operation[],
): readonly Unproven[] {
  const { sequence, life, connector } = facts;
  const { order } = sequence;
  const isOpened = life.events.some(({ act }) => act === 'disconnect');
  // A proof of a connector that the plan never opens is the vehicle maker's; only a calibration is upset from outside.
  if (!isOpened && fact !== 'calibrated') return emptyList;
  const latest = latestBy[by];
  const deliveries = latest ? gates.filter(({ taskId }) => latest.includes(taskId)) : gates;
  const found = new Map<Operation, Unproven>();
  const tell = (gate: Operation | undefined, culprits: readonly Operation[]): void => {
    const closing = life.events.findLast(
      ({ act, operation }) => act === 'reconnect' && (!gate || order.before(operation, gate)),
    )?.operation;
    // Without any proof since the opening, that is what is wrong, whatever came later.
    const opened = life.events.some(
      ({ act, operation }) => act === 'disconnect' && culprits.includes(operation),
    );
    const undoneBy = opened ? undefined : culprits.at(-1);
    const place = closing ?? undoneBy;
    if (place && !found.has(place))
      found.set(place, { fact, connector, closing: place, before: gate, undoneBy });
  };
  if (latest && deliveries.length === 0) {
    const atEnd = facts.verdict(fact, undefined);
    if (!atEnd.met && facts.isMet('closed', undefined)) tell(undefined, atEnd.culprits);
    return [...found.values()];
  }
  for (const { step, verdict } of facts.unmetAt(fact, deliveries)) {
    if (openAt.has(step)) continue;
    // A lock that is missing is told by itself; the measurement is judged without it.
    const unlocked = connector.lock && fact !== 'locked' && !facts.isMet('locked', step);
    if (unlocked && facts.isMet(fact, step, undefined, ['locked'])) continue;
    tell(step, verdict.culprits);
  }
  return [...found.values()];
}

function knockedLoose(facts: ConnectorFacts, openAt: ReadonlySet<Operation>): Unseated | undefined {
  const { connector, sequence } = facts;
  const knocks = new Set<Operation>();
  let first: { knock: Operation; gate: Operation } | undefined;
  for (const { step, verdict } of facts.unmetAt('seated', sequence.gates)) {
    if (openAt.has(step)) continue;
    for (const knock of verdict.culprits) {
      if (knocks.has(knock)) continue;
      knocks.add(knock);
      if (!first || sequence.order.compare(knock, first.knock) < 0) first = { knock, gate: step };
    }
  }
  return (
    first && {
      connector,
      gate: first.gate,
      knocks: [...knocks].sort((a, b) => sequence.order.compare(a, b)),
    }
  );
}

const allIn = query((reading: Snapshot) => {
  const open: StillOpen[] = [];
  const unseated: Unseated[] = [];
  const unproven = new Map<ConnectorFact, readonly Unproven[]>();
  for (const id of sequenceOf(new SnapshotPlan(reading)).lives.keys()) {
    const use = useOf(reading, id);
    for (const stillOpen of use.open) open.push(stillOpen);
    if (use.unseated) unseated.push(use.unseated);
    for (const one of use.unproven) addToGroup(unproven as Map<ConnectorFact, Unproven[]>, one.fact, one);
  }
  return { open, unproven, unseated };
});

const openIn = query((reading: Snapshot): readonly StillOpen[] => allIn(reading).open, sameMembers);
const unseatedIn = query((reading: Snapshot): readonly Unseated[] => allIn(reading).unseated, sameMembers);
const unprovenIn = query((reading: Snapshot) => allIn(reading).unproven, keepGroups);
const unprovenOfIn = keyedQuery(
  (reading: Snapshot, fact: ConnectorFact): readonly Unproven[] => unprovenIn(reading).get(fact) ?? emptyList,
);

/** Connectors that may be open when the vehicle is powered, moved or handed over. */
export const stillOpenIn = ({ reading }: Plan): readonly StillOpen[] => openIn(reading);
/** Connectors that may have been knocked loose, with nothing certain to check their seats in time. */
export const knockedLooseIn = ({ reading }: Plan): readonly Unseated[] => unseatedIn(reading);
/** Connectors of which `fact` is owed before the vehicle is used, and is not certain. */
export const unprovenOf = ({ reading }: Plan, fact: ConnectorFact): readonly Unproven[] =>
  unprovenOfIn(reading, fact);
