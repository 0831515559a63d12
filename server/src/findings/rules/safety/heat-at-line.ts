import { carriesGas } from '../../../plan/gas.ts';
import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import { windowsOf } from '../../../sequence/facts/exposure.ts';
import { ConnectorFacts } from '../../../sequence/facts/timeline.ts';
import { fuelMayRun, sparkLit } from '../../../plan/tables/fluids.ts';
import { heatsLines, ofToolsInMetal, sparksFly } from '../../../plan/tables/needs.ts';
import { historiesWhere } from '../../../sequence/lives.ts';
import {
  fuelLines,
  isBesideFuel,
  isFuelOut,
  isFuelUnplaced,
  isPurged,
  waitForEmptying,
} from '../../support/fuel.ts';
import { fuelAt, stepsAtFullLines, stepsAtPressure } from '../../support/lines.ts';
import { alsoAt, andAt, someOf, told } from '../../support/needs.ts';
import { fuelLighting, withOwn } from '../../support/tools.ts';
import { orderOrAdd } from '../../support/mending.ts';
import { named, ofConnectors } from '../../support/words.ts';
import type { CheckContext, FindingReport, FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

export const heatAtLine: FindingRule = {
  id: 'heat-at-line',
  title: say`Heat or flame where refrigerant, fuel or pressure may be`,
  severity: 'error',
  page: () => ({
    means: say`A step welds or brazes, or does a task of the shop's own that raises heat and does not say what it needs, in the zone of a refrigerant line whose circuit is not certain to be recovered, or where fuel runs (a fuel line, or \`fuel-zone\` of the vehicle) and the fuel system is not certain to be emptied. It is a warning at brakes or air suspension under pressure; where the fuel is out there, and neither is its vapour certain to be (\`purge\`) nor the line or tank to be taken off (a \`remove\` that names it), also of a step that cuts, drills or grinds; where a step welds, brazes, grinds or cuts in a zone that adjoins one where fuel runs that a spark lights, without the vehicle maker's word on the distance; where a vehicle that carries fuel is welded, cut or ground and the plan says neither where the fuel runs nor that it is out; where a vehicle with a tank of gas is baked without the vehicle maker's word on it; and where a step makes heat or sparks anywhere while a line of petrol or gas may be open without a cap.`,
    why: say`Heat bursts a line under pressure, and a flame turns escaping refrigerant into poisonous, corrosive gas. Fuel and its vapour burn; a tank that is emptied and not freed of vapour explodes.`,
    whatToDo: say`Have a certified person recover the refrigerant before the welding, as the vehicle maker specifies. Have the fuel system emptied (\`defuel\`), then freed of vapour (\`purge\`) or the tank taken out; relieve stored pressure; state \`fuel-zone\` and \`fuel-distance\` of the vehicle, and \`tank-in-booth\` for a gas tank.`,
    source: say`common practice; a maker of R134a and R1234yf names hydrogen fluoride as a product of their decomposition at very hot surfaces and flames; 8 CCR 5166(b), the text of 29 CFR 1910.252(a)(3): no hot work on used tanks until they are cleaned; hydrogen: Hydrogen Safety Panel, h2tools.org`,
    example: {
      wrong: `connectors:
  - { id: condenser-hose, class: fluid-line, zone: motor-bay, medium: refrigerant }
operations:
  - { id: op50, do: braze, zone: motor-bay }
`,
      right: `connectors:
  - { id: condenser-hose, class: fluid-line, zone: motor-bay, medium: refrigerant }
operations:
  - { id: op10, do: recover-refrigerant }
  - { id: op50, do: braze, zone: motor-bay }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  *check(subject) {
    const { plan, sequence } = subject;
    const heating = withOwn(plan, heatsLines, 'lines', 'heat');
    for (const [step, ids] of stepsAtFullLines(plan, sequence, refrigerantLines(plan), heating)) {
      yield {
        at: step.span,
        operation: step.id,
        ...ofConnectors(ids),
        message: say`${named(step)} heats the place of ${someOf(ids)}, and the refrigerant is not certain to be recovered: a heated line bursts, and burnt refrigerant is poison. Have a certified person recover the refrigerant before ${step.id}.`,
        fixes: () => [
          orderOrAdd(
            plan,
            step,
            'recover-refrigerant',
            say`Recover the refrigerant before ${step.planStep.id}`,
          ),
        ],
      };
    }
    for (const [step, ids] of stepsAtPressure(plan, sequence, heating)) {
      yield {
        at: step.span,
        operation: step.id,
        ...ofConnectors(ids),
        severity: 'warning',
        message: say`${named(step)} heats the place of ${someOf(ids)}, and the pressure there is not certain to be relieved: what is heated under pressure bursts. Have the pressure relieved before ${step.id}, as the vehicle maker specifies.`,
        fixes: () => [waitForEmptying(plan, step, 'relieve-pressure')],
      };
    }
    for (const { ids, steps } of fuelAt(plan, sequence, heating)) {
      for (const { first, others } of told(subject, 'heat-at-line', [{ culprit: undefined, steps }])) {
        yield {
          at: first.span,
          operation: first.id,
          ...ofConnectors(ids),
          message:
            ids.length > 0
              ? say`${named(first)} heats the place of ${someOf(ids)}, and the fuel is not certain to be out: fuel and its vapour burn or explode. Have the fuel system emptied and freed of vapour before ${first.id}, as the vehicle maker specifies.`
              : say`${named(first)} heats a place where fuel runs (\`fuel-zone\`), and the fuel is not certain to be out: fuel and its vapour burn or explode. Have the fuel system emptied and freed of vapour before ${first.id}, as the vehicle maker specifies.`,
          ...andAt(others),
          trace: alsoAt(others),
          fixes: () => [waitForEmptying(plan, first, 'defuel')],
        };
      }
    }
    yield* unpurged(subject);
    yield* besideFuel(subject);
    yield* unplaced(subject);
    yield* baked(subject);
    yield* uncapped(subject);
  },
};

/** A warning at the first of the steps that do one of `tasks` and count, while the fuel, or its vapour, is not certain to be out. */
function* warned(
  subject: CheckContext,
  tasks: Iterable<string>,
  counts: (step: Operation) => boolean,
  message: (first: Operation) => Phrase,
  { isOut, task }: { isOut: typeof isFuelOut; task: string } = { isOut: isFuelOut, task: 'defuel' },
): Generator<FindingReport> {
  const { plan, sequence } = subject;
  const steps = [...tasks]
    .flatMap((task) => plan.operationsDoing(task))
    .filter((step) => counts(step) && !isOut(plan, step))
    .sort((a, b) => sequence.order.compare(a, b));
  if (steps.length === 0) return;
  for (const { first, others } of told(subject, 'heat-at-line', [{ culprit: undefined, steps }])) {
    yield {
      at: first.span,
      operation: first.id,
      severity: 'warning',
      message: message(first),
      ...andAt(others),
      trace: alsoAt(others),
      fixes: () => [waitForEmptying(plan, first, task)],
    };
  }
}

/** Heat and sparks where the fuel is out and what is left of it may be vapour. */
function* unpurged(subject: CheckContext): Generator<FindingReport> {
  const { plan, sequence } = subject;
  const heating = withOwn(plan, heatsLines, 'vapour', 'heat');
  const sparking = fuelLighting(plan, 'vapour');
  const lines = fuelLines(plan);
  const atLines = new Set<Operation>();
  for (const life of lines) {
    const { zone, medium } = life.connector;
    const facts = new ConnectorFacts(plan, sequence, life);
    for (const task of sparkLit.has(medium!) ? sparking : heating) {
      for (const step of sequence.workingIn(zone, task))
        if (facts.isMet('line-empty', step) && !facts.isMet('taken-off', step)) atLines.add(step);
    }
  }
  const ofLines = new Set(lines.map(({ connector }) => connector.zone));
  const stated = isFuelUnplaced(plan)
    ? [...fuelMayRun]
    : (plan.vehicle?.fuelZones ?? []).flatMap(({ value }) => (ofLines.has(value) ? [] : [value]));
  yield* warned(
    subject,
    sparking,
    (step) =>
      step.zones.length > 0 &&
      (atLines.has(step) || (step.zones.some((zone) => stated.includes(zone)) && isFuelOut(plan, step))),
    (first) =>
      say`${named(first)} makes heat or sparks where fuel was let out, and its vapour may be left: an emptied tank explodes. Before ${first.id}, have tank and lines cleaned or purged as the vehicle maker specifies, and write it as \`purge\`, or the tank taken out by a \`remove\` that names its line.`,
    { isOut: isPurged, task: 'purge' },
  );
}

/** Heat and sparks in a zone that adjoins one where fuel runs. */
function* besideFuel(subject: CheckContext): Generator<FindingReport> {
  const { plan } = subject;
  if (plan.vehicle?.fuelDistance !== undefined) return;
  yield* warned(
    subject,
    withOwn(plan, new Set([...heatsLines, ...sparksFly]), 'lines', 'heat', ...ofToolsInMetal),
    (step) => isBesideFuel(plan, step),
    (first) =>
      say`${named(first)} makes heat or sparks beside a zone where fuel runs, and the fuel is not certain to be out: sparks fly far, and vapour and gas spread. Have the fuel system emptied before ${first.id}, or name the source of the vehicle maker's least distance as \`fuel-distance: …\` of the vehicle.`,
  );
}

/** A vehicle that carries fuel, in a plan that says nothing of where the fuel runs. */
function* unplaced(subject: CheckContext): Generator<FindingReport> {
  const { plan } = subject;
  if (!isFuelUnplaced(plan)) return;
  yield* warned(
    subject,
    fuelLighting(plan),
    ({ zones }) => zones.length === 0 || zones.some((zone) => fuelMayRun.has(zone)),
    (first) =>
      say`${named(first)} makes heat or sparks on a vehicle that carries fuel, and the plan says neither where tank and fuel lines run nor that they are emptied. State \`fuel-zone: …\` of the vehicle from the vehicle maker's documents, or have the fuel system emptied before ${first.id}.`,
  );
}

/** A tank of gas in the booth. */
function* baked(subject: CheckContext): Generator<FindingReport> {
  const { plan } = subject;
  if (plan.vehicle?.tankInBooth !== undefined || !carriesGas(plan)) return;
  yield* warned(
    subject,
    ['bake'],
    ({ offVehicle }) => !offVehicle,
    (first) =>
      say`${named(first)} heats a vehicle whose gas tank is not certain to be empty: heat raises its pressure, and a relief device that opens lets all the gas out. Name the source of the vehicle maker's word on it as \`tank-in-booth: …\` of the vehicle, or have the tank emptied before ${first.id}.`,
  );
}

/** Sparks anywhere on a vehicle with a fuel line that is open and has no cap. Where dirt reaches the line too, its missing cover is told. */
function* uncapped(subject: CheckContext): Generator<FindingReport> {
  const { plan, sequence } = subject;
  const lines = fuelLines(plan).filter(
    ({ connector, events }) =>
      sparkLit.has(connector.medium!) && events.some(({ act }) => act === 'disconnect'),
  );
  if (lines.length === 0) return;
  const { order } = sequence;
  const sparks = ['bake', ...fuelLighting(plan)]
    .flatMap((task) => plan.operationsDoing(task))
    .sort((a, b) => order.compare(a, b));
  for (const life of lines) {
    const facts = new ConnectorFacts(plan, sequence, life);
    const openings = life.events.filter(({ act }) => act === 'disconnect');
    const soiling = new Set(
      windowsOf(plan, life).flatMap(({ hazards }) => hazards.map(({ operation }) => operation)),
    );
    const steps = sparks.filter(
      (spark) =>
        !soiling.has(spark) &&
        // At the very opening it is told as that.
        !openings.some(({ operation }) => order.unordered(operation, spark)) &&
        facts.halves.some(([half]) => !facts.isMet('protected', spark, half)),
    );
    if (steps.length === 0) continue;
    const { id } = life.connector;
    for (const { first, others } of told(subject, 'heat-at-line', [{ culprit: undefined, steps }])) {
      yield {
        at: first.span,
        operation: first.id,
        connector: id,
        severity: 'warning',
        message: say`${named(first)} makes heat or sparks while ${id} may be open without a cap: fuel that is left in an emptied line burns. Close ${id} or cap both ends before ${first.id}.`,
        ...andAt(others),
        trace: alsoAt(others),
      };
    }
  }
}

const refrigerantLines = historiesWhere(
  ({ connector, unsure }) =>
    !unsure && connector.class === 'fluid-line' && connector.medium === 'refrigerant',
);
