/**
 * The timelines of facts: the rows of the table of effects, applied to the steps of a plan. Makers whose `given` facts
 * are not certain when they start do not count. The rows are stratified: no fact is given, directly or through others,
 * for itself.
 */
import { addToGroup, emptyList, fastFlatMap, own } from '../../base/collections.ts';
import { keyedQuery, memoByKey, query, sameMembers } from '../../incremental/query.ts';
import { isolates, mayHaveHighVoltage, stepsAtIsolating } from '../../plan/high-voltage.ts';
import type { Operation } from '../../plan/operations.ts';
import { SnapshotPlan } from '../../plan/plan.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Connector } from '../../plan/scope.ts';
import type { Snapshot } from '../../plan/snapshot.ts';
import { bothHalves } from '../../plan/steps.ts';
import type { Half } from '../../plan/steps.ts';
import { effects, fluidsOfTask, longestShift, shortestWaitForCure } from '../../plan/tables/effects.ts';
import type {
  Condition,
  Effect,
  FactId,
  HalfFact,
  ConnectorFact,
  VehicleFact,
} from '../../plan/tables/effects.ts';
import { soundsLike } from '../../plan/tables/own-names.ts';
import { builtInTasks, contaminating } from '../../plan/tables/tasks.ts';
import type { Hazard } from '../../plan/tables/tasks.ts';
import { touches } from '../life.ts';
import type { ConnectorHistory } from '../life.ts';
import { sequenceOf } from '../lives.ts';
import type { Sequence } from '../lives.ts';
import { isMetAt, sameTimeline, unmetSteps, verdictAt } from './at-steps.ts';
import type { StepTimeline, StepVerdict, UnmetStep } from './at-steps.ts';
import { isLastLock } from './last-lock.ts';
import { isMet, verdict } from './verdict.ts';
import { isOneOfSeveral, isWholeBattery, placesOfLowered } from './whole-battery.ts';

const knocks: ReadonlySet<Hazard> = new Set(['knock']);

/** The facts that must be certain for a fact to be made, its own and those of these, without the facts to leave out. */
const givens = memoByKey((fact: FactId): readonly FactId[] => [
  ...new Set(effects[fact].makes.flatMap(({ given = emptyList }) => given)),
]);

/** A fact and all that it rests on. */
export const foundations: (fact: FactId) => readonly FactId[] = memoByKey((fact: FactId) => [
  fact,
  ...givens(fact).flatMap((given) => foundations(given)),
]);

/** Whether a step meets the condition of an effect. */
function meets(condition: Condition | undefined, operation: Operation, plan: Plan): boolean {
  switch (condition) {
    case undefined:
      return true;
    case 'long-enough': {
      const least = plan.vehicle?.restraintWait;
      if (!least) return true;
      // A time that is written and cannot be read is told by itself.
      if (!operation.time) return operation.step.node.entry('time') !== undefined;
      return operation.time.si >= least.si;
    }
    case 'not-discharged':
      return operation.step.node.get('discharged')?.value !== true;
    case 'not-too-short':
      return !operation.time || meets('long-enough', operation, plan);
    case 'at-the-battery':
      return isAtBattery(operation, plan);
    case 'at-the-battery-or-anywhere':
      return (
        isAtBattery(operation, plan) ||
        // On a vehicle without its battery, what knocks strikes the body.
        (operation.zones.length + operation.connectors.length === 0 &&
          (!operation.task!.raises.includes('knock') || !isVehicleFactMet(plan, 'battery-out', operation)))
      );
    case 'battery-disconnected':
      return isVehicleFactMet(plan, '12v-off', operation);
    case 'no-high-voltage':
      return !mayHaveHighVoltage(plan);
    case 'timed':
      // A time that is written and cannot be read is told by itself.
      return operation.time ? operation.time.si > 0 : operation.step.node.entry('time') !== undefined;
    case 'beyond-the-waits': {
      const { dischargeWait, restraintWait } = plan.vehicle ?? {};
      if (!operation.time) return operation.step.node.entry('time') !== undefined;
      const { si } = operation.time;
      return (
        si >= shortestWaitForCure && [dischargeWait, restraintWait].every((wait) => !wait || si > wait.si)
      );
    }
    case 'beyond-a-shift':
      return operation.time !== undefined && operation.time.si >= longestShift;
    case 'on-vehicle':
      return !operation.offVehicle;
    case 'whole-battery':
      return isWholeBattery(operation, plan);
    case 'one-of-several-batteries':
      return isOneOfSeveral(operation, plan);
    case 'last-lock':
      return isLastLock(operation, plan, possibleMakers(plan, 'isolated'));
    case 'isolating-connector':
      return operation.connectors.some(({ value }) => isolates(plan, value));
    case 'no-isolating-connector':
      return stepsAtIsolating(plan, 'disconnect').length === 0;
  }
}

/** Whether a step works at the zone of a traction battery that may be in place, or where one that may be out lies. */
const isAtBattery = (operation: Operation, plan: Plan): boolean =>
  (operation.zones.some((zone) => plan.vehicle?.batteryZones.some(({ value }) => value === zone)) &&
    !isVehicleFactMet(plan, 'battery-out', operation)) ||
  (operation.zones.some((zone) => placesOfLowered(plan).includes(zone)) &&
    !isVehicleFactMet(plan, 'battery-in', operation));

/** Whether the fact holds when the vehicle comes in. */
const onArrival = ({ vehicle }: Plan, fact: FactId): boolean => {
  const { arrival, unlessArrivedAs = emptyList } = effects[fact];
  return unlessArrivedAs.some((word) => vehicle?.arrivedAs.includes(word)) ? !arrival : arrival;
};

/** Steps of an effect, by the task they do or by what the shop's row of their task adds. Earlier first. */
function stepsFor(
  plan: Plan,
  sequence: Sequence,
  fact: FactId,
  list: readonly Effect[],
  added: 'makes' | 'ends',
): Operation[] {
  const found = new Set<Operation>();
  for (const effect of list) {
    for (const operation of stepsDoing(plan, effect))
      if (meets(effect.when, operation, plan)) found.add(operation);
  }
  const condition = effects[fact][added === 'ends' ? 'ownEndsWhen' : 'ownMakesWhen'];
  for (const operation of addedBy(plan, added, fact))
    if (meets(condition, operation, plan)) found.add(operation);
  return [...found].sort((a, b) => sequence.order.compare(a, b));
}

/** Steps whose task makes or ends a fact by a row of the shop's sheet. */
const addedBy = ({ reading }: Plan, what: 'makes' | 'ends', fact: FactId): readonly Operation[] =>
  addedIn(reading, `${what} ${fact}`);
const addedIn = keyedQuery((reading: Snapshot, key: string): readonly Operation[] => {
  const [what, fact] = key.split(' ') as ['makes' | 'ends', FactId];
  const plan = new SnapshotPlan(reading);
  const tasks = [...plan.scope.tasks.values()].filter((task) => task[what].includes(fact));
  return tasks.flatMap(({ id }) => plan.operationsDoing(id));
}, sameMembers);

/** The steps of an effect anywhere in the plan: by the tasks it names, and by those of the shop's own that act alike. */
const stepsDoing = (plan: Plan, { tasks, alike, byName }: Effect): readonly Operation[] => {
  const steps = fastFlatMap(tasks, (task) => plan.operationsDoing(task));
  if (byName) return [...steps, ...fastFlatMap(tasks, (task) => soundingLike(plan, task))];
  return alike === undefined ? steps : [...steps, ...addedBy(plan, 'makes', alike)];
};

/**
 * Steps of the shop's own tasks with a name like that of a built-in one, where the row says nothing of what they make or end. One
 * that names a place or a connector is at a part of the vehicle, such as the lock of a door.
 */
export const soundingLike = ({ reading }: Plan, task: string): readonly Operation[] =>
  soundingIn(reading, task);
const soundingIn = keyedQuery((reading: Snapshot, like: string): readonly Operation[] => {
  const plan = new SnapshotPlan(reading);
  return [...plan.scope.tasks.values()]
    .filter(({ id, saysEffects }) => !saysEffects && !builtInTasks.has(id) && soundsLike(id) === like)
    .flatMap(({ id }) => plan.operationsDoing(id))
    .filter(({ zones, connectors }) => zones.length + connectors.length === 0);
}, sameMembers);

/** What rows of the shop's end: a fact and a task each. A step that names no connector may end it at any where it works. */
const endedByRows = query(
  (reading: Snapshot): readonly string[] =>
    [...new SnapshotPlan(reading).scope.tasks.values()].flatMap(({ id, ends }) =>
      ends.map((fact) => `${fact} ${id}`),
    ),
  sameMembers,
);

/**
 * The timeline of a fact about the vehicle.
 * @param assumed facts that are taken for granted as conditions of makers; what they rest on is asked for instead
 */
export const vehicleTimeline = (
  { reading }: Plan,
  fact: VehicleFact,
  assumed: readonly FactId[] = emptyList,
): StepTimeline => vehicleTimelineIn(reading, [fact, ...assumed].join(' '));

const vehicleTimelineIn = keyedQuery(
  (reading: Snapshot, key: string): StepTimeline => {
    const [fact, ...assumed] = key.split(' ') as [VehicleFact, ...FactId[]];
    const plan = new SnapshotPlan(reading);
    const sequence = sequenceOf(plan);
    const row = effects[fact];
    const needed = (list: readonly FactId[]): FactId[] =>
      list.flatMap((given) => (assumed.includes(given) ? needed(givens(given)) : [given]));
    const makers = row.makes.flatMap((effect) => {
      const conditions = needed(effect.given ?? emptyList) as VehicleFact[];
      return stepsFor(plan, sequence, fact, [effect], 'makes').filter((operation) =>
        conditions.every((given) =>
          isMetAt(sequence.order, vehicleTimeline(plan, given, assumed), operation),
        ),
      );
    });
    const ended = new Set<Operation>();
    for (const part of foundations(fact)) {
      for (const operation of stepsFor(plan, sequence, part, effects[part].ends, 'ends'))
        ended.add(operation);
    }
    const byOrder = (a: Operation, b: Operation): number => sequence.order.compare(a, b);
    return {
      arrival: onArrival(plan, fact),
      makers: [...new Set(makers)].sort(byOrder),
      enders: [...ended].sort(byOrder),
    };
  },
  (before, now) => sameTimeline(before, now),
);

/** All steps that would make the fact, whether their conditions are met or not. Earlier first. */
export const possibleMakers = (plan: Plan, fact: VehicleFact): readonly Operation[] =>
  stepsFor(plan, sequenceOf(plan), fact, effects[fact].makes, 'makes');

/** Whether a fact about the vehicle is certain when `operation` starts, with the reasons where it is not. */
export function vehicleVerdict(
  plan: Plan,
  fact: VehicleFact,
  operation: Operation,
  assumed?: readonly FactId[],
): StepVerdict {
  return verdictAt(sequenceOf(plan).order, vehicleTimeline(plan, fact, assumed), operation);
}

/** The facts about the vehicle, asked about at many steps: each timeline is looked up once. */
export class VehicleFacts {
  readonly #timelines = new Map<VehicleFact, { assumed: readonly FactId[]; timeline: StepTimeline }[]>();

  constructor(readonly plan: Plan) {}

  isMet(fact: VehicleFact, step: Operation, assumed: readonly FactId[] = emptyList): boolean {
    return isMetAt(sequenceOf(this.plan).order, this.timeline(fact, assumed), step);
  }

  verdict(fact: VehicleFact, step: Operation, assumed: readonly FactId[] = emptyList): StepVerdict {
    return verdictAt(sequenceOf(this.plan).order, this.timeline(fact, assumed), step);
  }

  timeline(fact: VehicleFact, assumed: readonly FactId[] = emptyList): StepTimeline {
    const found = this.#timelines.get(fact)?.find((one) => sameMembers(one.assumed, assumed));
    if (found) return found.timeline;
    const timeline = vehicleTimeline(this.plan, fact, assumed);
    addToGroup(this.#timelines, fact, { assumed: [...assumed], timeline });
    return timeline;
  }
}

export const isVehicleFactMet = (plan: Plan, fact: VehicleFact, operation: Operation): boolean =>
  isMetAt(sequenceOf(plan).order, vehicleTimeline(plan, fact), operation);

const together = [bothHalves];
const apart = bothHalves.map((half) => [half]);

const neverEnded: StepTimeline = { arrival: true, makers: emptyList, enders: emptyList };

/** The facts about one connector. */
export class ConnectorFacts {
  readonly #timelines = new Map<string, StepTimeline>();
  #halves: readonly (readonly Half[])[] | undefined;
  readonly connector: Connector;

  constructor(
    readonly plan: Plan,
    readonly sequence: Sequence,
    readonly life: ConnectorHistory,
  ) {
    this.connector = life.connector;
  }

  /** The halves in groups that every step handles alike: mostly one group of both, as one answer does for both then. */
  get halves(): readonly (readonly Half[])[] {
    return (this.#halves ??= this.life.operations.every((operation) =>
      bothHalves.every((half) => touches(operation, half)),
    )
      ? together
      : apart);
  }

  verdict(
    fact: ConnectorFact | HalfFact,
    step: Operation | undefined,
    half?: Half,
    assumed: readonly FactId[] = emptyList,
  ): StepVerdict {
    return verdict(this.sequence.order, this.timeline(fact, half, assumed), step);
  }

  isMet(
    fact: ConnectorFact | HalfFact,
    step: Operation | undefined,
    half?: Half,
    assumed: readonly FactId[] = emptyList,
  ): boolean {
    return isMet(this.sequence.order, this.timeline(fact, half, assumed), step);
  }

  /**
   * `unmetSteps` for a fact about this connector, or about one half of it.
   * @param steps sorted by `order.compare`
   */
  unmetAt(
    fact: ConnectorFact | HalfFact,
    steps: readonly Operation[],
    half?: Half,
    assumed: readonly FactId[] = emptyList,
  ): UnmetStep[] {
    if (steps.length === 0) return [];
    return unmetSteps(this.sequence.order, this.timeline(fact, half, assumed), steps);
  }

  timeline(
    fact: ConnectorFact | HalfFact,
    half?: Half,
    assumed: readonly FactId[] = emptyList,
  ): StepTimeline {
    const alone = this.halves === apart ? half : undefined;
    const key =
      alone === undefined && assumed.length === 0 ? fact : `${fact} ${alone ?? ''} ${assumed.join(' ')}`;
    let known = this.#timelines.get(key);
    if (!known) this.#timelines.set(key, (known = this.#make(fact, alone, assumed)));
    return known;
  }

  #make(fact: ConnectorFact | HalfFact, half: Half | undefined, assumed: readonly FactId[]): StepTimeline {
    const { order } = this.sequence;
    const row = effects[fact];
    const applies = (given: FactId): boolean => given !== 'locked' || this.connector.lock;
    const needed = (list: readonly FactId[]): FactId[] =>
      list.filter(applies).flatMap((given) => (assumed.includes(given) ? needed(givens(given)) : [given]));
    const arrival = onArrival(this.plan, fact);
    const ending = foundations(fact)
      .filter(applies)
      .flatMap((part) =>
        effects[part].ends.map(({ undoes }, i) => ({
          undoes,
          steps: this.#steps(part, effects[part].ends[i]!, half, 'ends'),
        })),
      );
    for (const said of endedByRows(this.plan.reading)) {
      const [ended, task] = said.split(' ') as [FactId, string];
      if (applies(ended) && foundations(fact).includes(ended))
        ending.push({ undoes: undefined, steps: this.#endedByRow(ended, task, half) });
    }
    // What holds on arrival and is never ended needs no maker.
    if (arrival && ending.every(({ steps }) => steps.length === 0)) return neverEnded;
    const makers: Operation[] = [];
    let isMadeHere = false;
    for (const effect of row.makes) {
      const conditions = needed(effect.given ?? emptyList) as ConnectorFact[];
      const steps = this.#steps(fact, effect, half, 'makes');
      isMadeHere ||= steps.length > 0;
      for (const operation of steps)
        if (conditions.every((given) => this.isMet(given, operation, half, assumed))) makers.push(operation);
    }
    const enders: Operation[] = [];
    for (const { undoes, steps } of ending)
      if (!undoes || isMadeHere) for (const one of steps) enders.push(one);
    const sorted = (steps: readonly Operation[]): readonly Operation[] =>
      steps.length < 2 ? steps : [...new Set(steps)].sort((a, b) => order.compare(a, b));
    return { arrival, makers: sorted(makers), enders: sorted(enders) };
  }

  /** The steps of a task that ends a fact by a row of the shop's: those that name this connector, or none and work around it. */
  #endedByRow(fact: FactId, task: string, half: Half | undefined): readonly Operation[] {
    const unless = effects[fact].ends.findLast(
      (effect) => effect.unless && effect.concern === 'named',
    )?.unless;
    return [
      ...this.life.operations.filter(
        (operation) => operation.taskId === task && (half === undefined || touches(operation, half)),
      ),
      ...this.sequence.around(task, this.connector.zone),
    ].filter(
      (operation) =>
        unless === undefined ||
        operation.task!.ends.includes(unless) ||
        !this.isMet(unless as ConnectorFact, operation),
    );
  }

  /** The steps of one effect that concern this connector, or this half of it. */
  #steps(
    fact: FactId,
    effect: Effect,
    half: Half | undefined,
    added: 'makes' | 'ends',
  ): readonly Operation[] {
    const { plan, connector } = this;
    const { unless, when } = effect;
    const found = this.#concerned(fact, effect, half, added);
    return found.length === 0
      ? found
      : found.filter(
          (operation) =>
            meets(when, operation, plan) &&
            carries(operation.taskId, connector) &&
            (unless === undefined ||
              !this.isMet(unless as ConnectorFact, operation, unless === 'protected' ? half : undefined)),
        );
  }

  #concerned(
    fact: FactId,
    effect: Effect,
    half: Half | undefined,
    added: 'makes' | 'ends',
  ): readonly Operation[] {
    const { plan, sequence, life } = this;
    const { tasks, concern = 'covering' } = effect;
    const { zone } = this.connector;
    if (concern === 'soiling') return sequence.reaching(zone, contaminating);
    // A step that handles the connector itself does not knock it unnoticed.
    if (concern === 'knocking')
      return sequence.reaching(zone, knocks).filter((one) => !life.operations.includes(one));
    if (concern === 'in-zone') return fastFlatMap(tasks, (task) => sequence.workingIn(zone, task));
    if (concern === 'vehicle') return stepsDoing(plan, effect);
    const found = life.operations.filter(
      (operation) =>
        (tasks.includes(operation.taskId) || (added === 'makes' && operation.task?.makes.includes(fact))) &&
        (half === undefined || touches(operation, half)),
    );
    if (concern === 'covering')
      for (const task of tasks) for (const one of sequence.around(task, zone)) found.push(one);
    return found;
  }
}

/** Whether a task that fills or empties a circuit may concern what the line carries. */
const carries = (task: string, { medium }: Connector): boolean => {
  const fluids = own(fluidsOfTask, task);
  return fluids === undefined || medium === undefined || fluids.has(medium);
};
