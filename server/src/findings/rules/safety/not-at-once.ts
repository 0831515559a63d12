import { addToGroup, emptyList } from '../../../base/collections.ts';
import { memoByKey } from '../../../incremental/query.ts';
import { andList, say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import type { Plan } from '../../../plan/plan.ts';
import type { Connector } from '../../../plan/scope.ts';
import { letsOutByRow } from '../../../plan/gas.ts';
import { fuelMayRun, isFuel, isUnderPressure } from '../../../plan/tables/fluids.ts';
import {
  heatsLines,
  letsFuelOut,
  movesRefrigerant,
  ofToolsInMetal,
  opensOrCovers,
  reachesEyes,
  runsMotors,
  sparksAtClamp,
  spraysPaint,
} from '../../../plan/tables/needs.ts';
import { cameInWetOrDamaged } from '../../../plan/vehicle.ts';
import { builtInTasks } from '../../../plan/tables/tasks.ts';
import type { ReportedSeverity } from '../../../plan/snapshot.ts';
import type { Sequence } from '../../../sequence/lives.ts';
import type { OperationOrder } from '../../../sequence/operation-order.ts';
import type { FindingRule, Fix } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { fuelLines, isFuelUnplaced } from '../../support/fuel.ts';
import { fix, onlyAfter, waitFor } from '../../support/mending.ts';
import { alsoAt, andAt, told } from '../../support/needs.ts';
import {
  bakesOfVehicle,
  fuelLighting,
  isPull,
  stepsOffVehicle,
  stepsThatPull,
  withOwn,
} from '../../support/tools.ts';
import { named, traceAt } from '../../support/words.ts';

export const notAtOnce: FindingRule = {
  id: 'not-at-once',
  title: say`Sparks while fuel, refrigerant or paint is in the air, or people or charging in the booth`,
  severity: 'error',
  page: () => ({
    means: say`Nothing orders two steps of which only one may go on at a time: fuel is let out, emptied or filled, or a fuel line is opened or tested for leaks, and a step makes heat or sparks anywhere on the vehicle, or, each a warning, a 12 V clamp goes on or off, or somebody sands or polishes in the same zone or an adjoining one; paint or primer is sprayed where a step makes heat or sparks in the same zone or an adjoining one (a warning); somebody else works by hand there, or where dust or sparks are raised (a warning); metal is pulled there (a warning); refrigerant is recovered or filled, or its line is opened, where a step makes heat or sparks at the line or beside it (a warning); or the traction battery is charged, or somebody works on the vehicle by hand, while the vehicle is baked, or it is charged over the end of a shift after work on high voltage or as a wet or damaged one (all three a warning).`,
    why: say`Vapour, gas and paint mist spread further than anybody sees, and one spark is enough. Charging warms a battery that the booth warms already. A chain under load hits hard when it slips. The air of a bake is hot and full of solvent, and who faints in it is found late.`,
    whatToDo: say`Make one of the two steps wait for the end of the other, and let the air clear in between.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op10, do: shut-down }
  - { id: op20, do: defuel }
  - { id: op30, do: grind, zone: roof, after: [op10] }
`,
      right: `operations:
  - { id: op10, do: shut-down }
  - { id: op20, do: defuel }
  - { id: op30, do: grind, zone: roof, after: [op20] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  *check(subject) {
    const { plan, sequence } = subject;
    const { order } = sequence;
    for (const { of, beside, severity, message, first: isFirst } of pairs(plan, sequence)) {
      for (const step of of) {
        const steps = [...beside(step)]
          .filter((other) => other !== step && order.unordered(step, other))
          .sort((one, other) => order.compare(one, other));
        if (steps.length === 0) continue;
        for (const { first, others } of told(subject, 'not-at-once', [{ culprit: step, steps }])) {
          yield {
            at: first.span,
            operation: first.id,
            severity,
            message: message(first, step),
            ...andAt(others),
            trace: [
              traceAt(step, say`${named(step)}: nothing orders it before or after ${first.id}`),
              ...alsoAt(others),
            ],
            fixes: () => [ordered(plan, order, step, [first, ...others], isFirst)],
          };
        }
      }
    }
  },
};

interface Pair {
  readonly of: readonly Operation[];
  /** What must not be done during the step. */
  readonly beside: (step: Operation) => Iterable<Operation>;
  readonly severity: ReportedSeverity;
  readonly message: (other: Operation, step: Operation) => Phrase;
  /** Whether the step is done before the other one, where a fix orders them. */
  readonly first: (step: Operation, other: Operation) => boolean;
}

/** Makes the step wait for the others, or the others for the step. Of steps that wait for one another, the last or the first is enough. */
function ordered(
  plan: Plan,
  order: OperationOrder,
  step: Operation,
  others: readonly Operation[],
  isFirst: Pair['first'],
): Fix | undefined {
  const [waiting, ahead] = [
    others.filter((one) => isFirst(step, one)),
    others.filter((one) => !isFirst(step, one)),
  ];
  // Some before and some after: whoever writes the plan knows which.
  if (waiting.length > 0 && ahead.length > 0) return undefined;
  if (ahead.length > 0)
    return onlyAfter(plan, step, ...ahead.filter((one) => !ahead.some((other) => order.before(one, other))));
  const firsts = waiting.filter((one) => !waiting.some((other) => order.before(other, one)));
  return fix(
    say`Do ${andList(firsts.map(({ planStep }) => planStep.id))} only after ${step.planStep.id}`,
    [...new Set(firsts.map(({ planStep }) => planStep))].map((one) => waitFor(plan, one, [step.planStep.id])),
  );
}

/** Pairs told at whichever side has fewer steps: one step without its order may stand beside many. */
function eitherWay(
  of: readonly Operation[],
  beside: (step: Operation) => readonly Operation[],
  isBeside: (step: Operation, other: Operation) => boolean,
): Pick<Pair, 'of' | 'beside'> {
  const found = new Map<Operation, readonly Operation[]>();
  const others = new Set<Operation>();
  for (const step of of) {
    const its = beside(step);
    if (its.length === 0) continue;
    found.set(step, its);
    for (const other of its) others.add(other);
  }
  const steps = [...found.keys()];
  return others.size < steps.length
    ? { of: [...others], beside: (other) => steps.filter((step) => isBeside(step, other)) }
    : { of: steps, beside: (step) => found.get(step) ?? emptyList };
}

/** Of two steps, the one that does not do these tasks first. */
const workFirst = (
  one: Operation,
  other: Operation,
  tasks: ReadonlySet<string>,
): [work: Operation, beside: Operation] => (tasks.has(one.taskId) ? [other, one] : [one, other]);

const paintedBeside = (work: Operation, spray: Operation): Phrase =>
  say`${named(work)} may go on during ${named(spray)} in the same place or beside it: whoever works there breathes paint mist, and isocyanates in it make people ill for good. Make one wait for the end of the other.`;

const dustBeside = (work: Operation, tool: Operation): Phrase =>
  say`${named(work)} may go on during ${named(tool)} in the same place: dust, sparks or the tool reach eyes and hands there. Make one wait for the end of the other.`;

const pullBeside = (work: Operation, pull: Operation): Phrase =>
  say`${named(work)} may go on during ${named(pull)} in the same place or beside it: a chain or clamp that slips under load hits whoever is in its line. Make one wait for the end of the other.`;

function pairs(plan: Plan, { order, byHand, gates }: Sequence): readonly Pair[] {
  const doing = (tasks: Iterable<string>): readonly Operation[] =>
    [...tasks].flatMap((task) => plan.operationsDoing(task));
  const hasHighVoltageWork = doing(battery).length > 0 || cameInWetOrDamaged(plan.vehicle);
  const bakes = bakesOfVehicle(plan);
  const handsOn =
    bakes.length === 0
      ? emptyList
      : [...byHand, ...gates.filter(({ task, taskId }) => task!.handsOn && taskId !== 'charge-battery')].sort(
          (one, other) => order.compare(one, other),
        );
  const sparking = fuelLighting(plan);
  const sparks = doing(sparking);
  /** Those in a zone or beside it. */
  const near = (steps: readonly Operation[]): ((zone: string) => readonly Operation[]) =>
    memoByKey((zone: string) =>
      steps.filter(({ zones }) =>
        zones.some((other) => other === zone || plan.scope.zones.adjoin(other, zone)),
      ),
    );
  const sparksAt = near(sparks);
  const machines = new Set(
    [...withOwn(plan, runsMotors, 'lines', 'dust')].filter((task) => !sparking.has(task)),
  );
  const machinesAt = near(doing(machines));
  const fuelInTheAir = [
    ...doing(letsFuelOut).filter((step) => !isOfOtherPressure(plan, step)),
    ...lettingOut(plan).filter((step) => step.connectors.length === 0 || opensFuel(plan, step)),
    ...(hasFuelLine(plan) ? doing(['disconnect']).filter((step) => opensFuel(plan, step)) : []),
    ...doing(['leak-test']).filter((step) => testsFuel(plan, step)),
  ];
  // What a task of the shop's own that raises dust alone does, such as a vacuum cleaner, hurts no eye.
  const dusty = new Set(
    [...plan.scope.tasks.values()].flatMap(({ id, raises, handsOn: isByHand }) =>
      isByHand && raises.some((hazard) => (builtInTasks.has(id) ? reachesEyes : ofToolsInMetal).has(hazard))
        ? [id]
        : [],
    ),
  );
  // Beside fuel and refrigerant, that is told alone; of open halves without a cover the findings about covers tell.
  const toldElsewhere = new Set([...dusty, ...spraysPaint, ...opensOrCovers, ...movesRefrigerant]);
  // Hands at a part off the vehicle are not on it; they are beside other work there.
  const offTheVehicle = stepsOffVehicle(plan)
    .filter(({ taskId }) => plan.scope.tasks.get(taskId)?.handsOn)
    .sort((one, other) => order.compare(one, other));
  /** Work by hand, by zone. */
  const handsByZone = (also: ReadonlySet<string>): ReadonlyMap<string, readonly Operation[]> => {
    const letting = new Set(fuelInTheAir);
    const found = new Map<string, Operation[]>();
    for (const work of [...byHand, ...offTheVehicle]) {
      if ((toldElsewhere.has(work.taskId) && !also.has(work.taskId)) || letting.has(work)) continue;
      for (const zone of new Set(work.zones)) addToGroup(found, zone, work);
    }
    return found;
  };
  /** Whose hands a step reaches that others may be doing meanwhile. */
  const reaching = (
    of: readonly Operation[],
    reaches: (zone: string, other: string) => boolean,
    also: ReadonlySet<string> = new Set(),
  ): Pick<Pair, 'of' | 'beside'> => {
    let hands: ReturnType<typeof handsByZone> | undefined;
    const isApart = (step: Operation, work: Operation): boolean =>
      order.unordered(work, step) && (work.by === undefined || work.by.value !== step.by?.value);
    const reachesZone = (step: Operation, zone: string): boolean =>
      step.zones.some((own) => reaches(own, zone));
    return eitherWay(
      of,
      (step) => {
        const found = new Set<Operation>();
        for (const [zone, works] of (hands ??= handsByZone(also))) {
          if (!reachesZone(step, zone)) continue;
          for (const work of order.candidatesBetween(works, step, step))
            if (isApart(step, work)) found.add(work);
        }
        return [...found].sort((one, other) => order.compare(one, other));
      },
      (step, work) => isApart(step, work) && work.zones.some((zone) => reachesZone(step, zone)),
    );
  };
  return [
    {
      of: fuelInTheAir,
      beside: () => sparks,
      severity: 'error',
      message: (spark, fuel) =>
        say`${named(spark)} may run during ${named(fuel)}: fuel, gas or vapour in the air burns or explodes at a spark. Make one wait for the end of the other.`,
      first: ({ taskId }) => taskId !== 'refuel' && taskId !== 'leak-test',
    },
    {
      of: fuelInTheAir,
      beside: () => doing(sparksAtClamp),
      severity: 'warning',
      message: (clamp, fuel) =>
        say`${named(clamp)} may run during ${named(fuel)}: a 12 V clamp sparks when it goes on or off, and fuel, gas or vapour in the air burns or explodes. Make one wait for the end of the other.`,
      first: (fuel, clamp) => order.compare(fuel, clamp) < 0,
    },
    {
      of: fuelInTheAir,
      beside: (fuel) => new Set(fuelPlaces(plan, fuel).flatMap(machinesAt)),
      severity: 'warning',
      message: (machine, fuel) =>
        say`${named(machine)} may run during ${named(fuel)} in the same place or beside it: the motor of a machine sparks, and fuel, gas or vapour in the air burns or explodes. Make one wait for the end of the other.`,
      first: ({ taskId }) => taskId !== 'refuel' && taskId !== 'leak-test',
    },
    {
      of: [
        ...doing(movesRefrigerant),
        ...doing(['disconnect']).filter((step) => refrigerantLines(plan, step, 'named').length > 0),
      ],
      beside: (step) =>
        new Set(
          refrigerantLines(plan, step, 'concerned').flatMap(({ zone }) =>
            zone === undefined
              ? []
              : // A flame in the zone of a line that is not certain to be empty is told as that.
                sparksAt(zone).filter(
                  ({ taskId, zones }) => !heatsLines.has(taskId) || !zones.includes(zone),
                ),
          ),
        ),
      severity: 'warning',
      message: (spark, work) =>
        say`${named(spark)} may run during ${named(work)}, where a refrigerant line runs or beside it: refrigerant that escapes burns or turns to poison at a spark or a flame. Make one wait for the end of the other.`,
      first: ({ taskId }) => taskId !== 'fill-refrigerant',
    },
    {
      of: doing(spraysPaint),
      beside: ({ zones }) => new Set(zones.flatMap(sparksAt)),
      severity: 'warning',
      message: (spark, paint) =>
        say`${named(spark)} may run during ${named(paint)} in the same place or beside it: paint mist and solvent burn at a spark. Make one wait for the end of the other.`,
      first: () => false,
    },
    {
      ...reaching(
        doing(spraysPaint),
        (zone, other) => zone === other || plan.scope.zones.adjoin(zone, other),
        machines,
      ),
      severity: 'warning',
      message: (one, other) => paintedBeside(...workFirst(one, other, spraysPaint)),
      first: (step, other) => order.compare(step, other) < 0,
    },
    {
      ...reaching(doing(dusty), (zone, other) => zone === other),
      severity: 'warning',
      message: (one, other) => dustBeside(...workFirst(one, other, dusty)),
      first: (step, other) => order.compare(step, other) < 0,
    },
    {
      ...reaching(
        stepsThatPull(plan),
        (zone, other) => zone === other || plan.scope.zones.adjoin(zone, other),
        new Set([...opensOrCovers, ...movesRefrigerant]),
      ),
      severity: 'warning',
      message: (one, other) =>
        pullBeside(...(isPull(one) ? ([other, one] as const) : ([one, other] as const))),
      first: (step, other) => order.compare(step, other) < 0,
    },
    {
      of: bakes,
      beside: () => plan.operationsDoing('charge-battery'),
      severity: 'warning',
      message: (charge, bake) =>
        say`${named(charge)} may run during ${named(bake)}: charging warms a battery that the booth warms already. Make one wait for the end of the other.`,
      first: () => true,
    },
    {
      of: hasHighVoltageWork ? doing(['end-of-shift']) : emptyList,
      beside: () => plan.operationsDoing('charge-battery'),
      severity: 'warning',
      message: (charge, night) =>
        say`${named(charge)} may go on into ${named(night)}: a battery that was damaged or worked at can catch fire while it charges, and nobody is there. Make ${night.id} wait for the end of ${charge.id}.`,
      first: () => false,
    },
    {
      of: bakes,
      beside: (bake) => order.candidatesBetween(handsOn, bake, bake),
      severity: 'warning',
      message: (work, bake) =>
        say`${named(work)} may go on during ${named(bake)}: nobody is in or at a vehicle that bakes, in hot air full of solvent. Make one wait for the end of the other, and let the air clear first.`,
      first: (bake, work) => order.compare(bake, work) < 0,
    },
  ];
}

/** Work after which the first charging is watched. */
const battery = ['isolate', 'raise-battery', 'inspect-battery'];

/** Steps of the shop's own tasks that let fuel or gas out, by what their rows make. */
const lettingOut = operationsWhere(
  ({ task, taskId, connectors }) =>
    !builtInTasks.has(taskId) &&
    letsOutByRow(
      task,
      connectors.map(({ value }) => value),
    ),
);

/** A step that relieves the pressure of brakes or suspension: of a line it names, or of all there are on a vehicle without fuel. */
function isOfOtherPressure(plan: Plan, { taskId, connectors }: Operation): boolean {
  if (taskId !== 'relieve-pressure') return false;
  const lines =
    connectors.length > 0
      ? connectors.flatMap(({ value }) => plan.scope.connectors.get(value) ?? [])
      : [...plan.scope.connectors.values()].filter(({ class: kind }) => kind === 'fluid-line');
  const media = lines.flatMap(({ medium }) => medium ?? []);
  return media.some(isUnderPressure) && !media.some(isFuel);
}

/** The refrigerant lines that a step names; or, where it names no connector, all of them. */
function refrigerantLines(
  { scope }: Plan,
  { connectors }: Operation,
  which: 'named' | 'concerned',
): readonly Connector[] {
  const lines =
    connectors.length > 0 || which === 'named'
      ? connectors.flatMap(({ value }) => scope.connectors.get(value) ?? [])
      : [...scope.connectors.values()];
  return lines.filter(({ medium }) => medium === 'refrigerant');
}

/** Where fuel or its vapour is while a step lets it out: where that works, else where fuel runs, or may run. */
function fuelPlaces(plan: Plan, { zones }: Operation): readonly string[] {
  if (zones.length > 0) return zones;
  if (isFuelUnplaced(plan)) return [...fuelMayRun];
  const stated = plan.vehicle?.fuelZones.map(({ value }) => value) ?? [];
  return [...stated, ...fuelLines(plan).map(({ connector }) => connector.zone!)];
}

const hasFuelLine = ({ scope }: Plan): boolean =>
  [...scope.connectors.values()].some(({ medium }) => isFuel(medium));

/** A leak test of a fuel line that it names, or of all lines, one of which holds fuel. */
const testsFuel = (plan: Plan, step: Operation): boolean =>
  step.connectors.length > 0 ? opensFuel(plan, step) : hasFuelLine(plan);

const opensFuel = ({ scope }: Plan, { connectors }: Operation): boolean =>
  connectors.some(({ value }) => isFuel(scope.connectors.get(value)?.medium));
