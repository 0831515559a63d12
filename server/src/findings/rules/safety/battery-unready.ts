import { beforeBatteryCheck } from '../../../plan/tables/needs.ts';
import { traceAt, named } from '../../support/words.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Plan } from '../../../plan/plan.ts';
import { mayHaveHighVoltage } from '../../../plan/high-voltage.ts';
import { readIds } from '../../../plan/read.ts';
import { noWorkByName, wetOrBurntByText } from '../../../plan/tables/own-names.ts';
import { cameInWetOrDamaged } from '../../../plan/vehicle.ts';
import { isVehicleFactMet, vehicleTimeline } from '../../../sequence/facts/timeline.ts';
import type { Sequence } from '../../../sequence/lives.ts';
import { harmsBattery, opensBattery, puttingIn, takingOut, zonesMaybeOut } from '../../support/battery.ts';
import { fix, inList, insertAfter, insertBefore, onlyAfter } from '../../support/mending.ts';
import { looseWays } from '../../support/placing.ts';
import type { NewStep } from '../../support/mending.ts';
import { alsoAt, andAt, told, unmetGroups } from '../../support/needs.ts';
import { isOwnTask, ownSteps } from '../../support/tools.ts';
import { say } from '../../../language/phrase.ts';
import type { CheckContext, FindingReport, FindingRule, Fix } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const batteryUnready: FindingRule = {
  id: 'battery-unready',
  title: say`Used without its traction battery, or worked on before the battery is inspected`,
  severity: 'error',
  page: () => ({
    means: say`The vehicle is powered, moved or handed over while its traction battery may be out; or it came in wet or with high-voltage damage (\`arrived-as\`), and work begins before the traction battery is inspected, or the battery is taken out before that and not put apart (a warning); or metal is pulled at the place of the battery, or where it was put down, or a task of the shop's own opens it, drops it, strikes it or wets it by its name (a warning) or says so in its row (\`ends: [battery-checked]\`), and the battery is not inspected after that; one that was out is inspected before it is raised. It is a warning, too, where the description of the vehicle speaks of a flood or a fire and \`arrived-as\` is not written.`,
    why: say`A wet or damaged battery can short-circuit and burn hours or days later. Until the battery is inspected the vehicle stays outdoors, apart and watched.`,
    whatToDo: say`Raise the battery into place and prove its connectors before power-up; have a qualified person inspect a wet or damaged battery first, as the vehicle maker specifies.`,
    source: commonPractice,
    example: {
      wrong: `vehicle: { description: Kestrel (invented), propulsion: hybrid, system-voltage: 270 V, arrived-as: [wet] }
operations:
  - { id: op10, do: wash }
`,
      right: `vehicle: { description: Kestrel (invented), propulsion: hybrid, system-voltage: 270 V, arrived-as: [wet] }
operations:
  - { id: op05, do: inspect-battery }
  - { id: op10, do: wash }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check(subject) {
    const { plan, sequence } = subject;
    for (const { culprit, first, others } of told(
      subject,
      'battery-unready',
      unmetGroups(plan, 'battery-in', sequence.gates),
    )) {
      yield {
        at: first.span,
        operation: first.id,
        message: say`${named(first)} comes while the traction battery may be out of the vehicle. Raise the battery into place, and close and prove its connectors, before ${first.id}, as the vehicle maker specifies.`,
        ...andAt(others),
        trace: [
          ...(culprit ? [traceAt(culprit, say`${named(culprit)}: out from here`)] : []),
          ...alsoAt(others),
        ],
        fixes: () => {
          const lowered =
            culprit ??
            plan.operationsDoing('lower-battery').findLast((step) => sequence.order.before(step, first));
          return lowered ? [raiseWays(plan, sequence, first, lowered)] : [];
        },
      };
    }
    const raisings = puttingIn(plan);
    for (const group of unmetGroups(plan, 'battery-checked', [...sequence.gates, ...raisings])) {
      const { culprit } = group;
      if (!culprit) continue;
      // What is strained in its place may be inspected there, after a battery is raised again.
      const maybeOut = raisings.length > 0 && !isVehicleFactMet(plan, 'battery-in', culprit);
      const steps = maybeOut ? group.steps : group.steps.filter((step) => !raisings.includes(step));
      for (const { first, others } of told(subject, 'battery-unready', [{ culprit, steps }])) {
        yield {
          at: first.span,
          operation: first.id,
          message: maybeOut
            ? say`After ${named(culprit)}, an earlier inspection of the traction battery counts for nothing, and nobody inspects it before ${named(first)}: a strained or wet housing shorts a cell, hours later too. Leave it apart and watched, and have it inspected as the vehicle maker specifies before ${first.id}.`
            : say`${named(culprit)} pulls at the place of the traction battery, and nobody inspects the battery before ${named(first)}: a strained housing lets water in or shorts a cell. Have the battery inspected as the vehicle maker specifies before ${first.id}.`,
          ...andAt(others),
          trace: [
            traceAt(culprit, say`${named(culprit)}: an earlier inspection counts for nothing after this`),
            ...alsoAt(others),
          ],
          fixes: () => [[...inspectBefore(plan, sequence, first, culprit)]],
        };
      }
    }
    yield* openedUnchecked(subject);
    yield* arrivedUnsaid(plan);
    yield* putDownUnchecked(plan);
    // Without an inspection that is owed from the start, whatever is unmet has a culprit, and is told above.
    if (vehicleTimeline(plan, 'battery-checked').arrival) return;
    const work = plan.operations.filter(
      (operation) =>
        operation.task && !beforeBatteryCheck.has(operation.taskId) && !leavesBatteryAlone(operation),
    );
    for (const { first, others } of told(
      subject,
      'battery-unready',
      unmetGroups(plan, 'battery-checked', work).filter(({ culprit }) => !culprit),
    )) {
      yield {
        at: first.span,
        operation: first.id,
        message: say`${named(first)} begins before the traction battery of a wet or damaged vehicle is inspected: the battery can catch fire hours later. Keep the vehicle outdoors, apart and watched, and have the battery inspected as the vehicle maker specifies before ${first.id}.`,
        ...andAt(others),
        trace: alsoAt(others),
        fixes: () => [[...inspectBefore(plan, sequence, first)]],
      };
    }
  },
};

/** A task of the shop's own that by its name only watches or keeps people away, and by its row raises, makes and ends nothing. */
const leavesBatteryAlone = (operation: Operation): boolean => {
  const { task, taskId } = operation;
  return (
    isOwnTask(operation) &&
    noWorkByName(taskId) &&
    task!.raises.length + task!.makes.length + task!.ends.length === 0
  );
};

/** A battery that a task of the shop's own opens, drops, strikes or wets by its name, and that nobody inspects before the vehicle is used. */
function* openedUnchecked(subject: CheckContext): Generator<FindingReport> {
  const { plan, sequence } = subject;
  const { order } = sequence;
  const harmed = new Set(ownSteps(plan).filter((step) => harmsBattery(plan, sequence, step)));
  const openings = ownSteps(plan)
    .filter((step) => harmed.has(step) || opensBattery(plan, step))
    .sort((a, b) => order.compare(a, b));
  if (openings.length === 0) return;
  const raisings = puttingIn(plan);
  const inspections = vehicleTimeline(plan, 'battery-checked').makers;
  const openedBefore = (gate: Operation): Operation | undefined =>
    openings.findLast((opening) => order.before(opening, gate));
  const steps = [...sequence.gates, ...raisings].filter((gate) => {
    const opening = openedBefore(gate);
    return (
      opening &&
      (harmed.has(opening) || !raisings.includes(gate)) &&
      !inspections.some((one) => order.before(one, gate) && (one === opening || order.before(opening, one)))
    );
  });
  if (steps.length === 0) return;
  steps.sort((a, b) => order.compare(a, b));
  for (const { first, others } of told(subject, 'battery-unready', [{ culprit: undefined, steps }])) {
    const opening = openedBefore(first)!;
    yield {
      at: first.span,
      operation: first.id,
      severity: 'warning',
      message: harmed.has(opening)
        ? say`${named(opening)} drops, strikes, turns or wets the traction battery by its name, and nobody inspects the battery before ${named(first)}: such a battery can catch fire hours later. Leave it apart and watched, and have it inspected as the vehicle maker specifies before ${first.id}.`
        : say`${named(opening)} opens the traction battery by its name, and nobody inspects the battery before ${named(first)}: a housing that is not tight lets water in or shorts a cell. Have the battery inspected as the vehicle maker specifies before ${first.id}.`,
      ...andAt(others),
      trace: alsoAt(others),
      fixes: () => [[...inspectBefore(plan, sequence, first, opening)]],
    };
  }
}

/** A vehicle whose description speaks of water or fire, in a plan that does not say how it came in. */
function* arrivedUnsaid(plan: Plan): Generator<FindingReport> {
  const node = plan.vehicle?.node;
  const description = node?.entry('description')?.value;
  if (description?.kind !== 'scalar' || typeof description.value !== 'string') return;
  if (node!.entry('arrived-as') !== undefined || !mayHaveHighVoltage(plan)) return;
  if (!wetOrBurntByText(description.value)) return;
  yield {
    at: description.span,
    severity: 'warning',
    message: say`The description of the vehicle speaks of water or fire, and nothing says how it came in, so its battery is taken for sound: a wet or damaged one can catch fire hours later. Write \`arrived-as: [wet]\` or \`arrived-as: [high-voltage-damaged]\`, or \`arrived-as: []\` if a qualified person has found that neither reached high voltage.`,
  };
}

/** A wet or damaged battery that is lowered before anybody has inspected it, and not put apart. */
function* putDownUnchecked(plan: Plan): Generator<FindingReport> {
  const { beside } = plan.scope.zones;
  if (!cameInWetOrDamaged(plan.vehicle)) return;
  for (const lowering of takingOut(plan)) {
    if (isVehicleFactMet(plan, 'battery-checked', lowering)) continue;
    const { step, bindings } = lowering;
    const places = readIds(step.node.get('put-down'), bindings);
    const isApart = places.length > 0 && places.every(({ value }) => beside.get(value)?.size === 0);
    if (isApart || (places.length === 0 && step.node.entry('put-down') !== undefined)) continue;
    yield {
      at: lowering.span,
      operation: lowering.id,
      severity: 'warning',
      message: say`${named(lowering)} takes out a wet or damaged traction battery that nobody has inspected, and does not put it apart: such a battery can catch fire hours later. Put it outdoors, apart and watched, as the vehicle maker specifies, and write \`put-down: battery-store\`.`,
    };
  }
}

/** Ways to raise the battery before `gate`: order a raising that is there; before the first work at what was opened for it. */
function raiseWays(
  plan: Plan,
  sequence: Sequence,
  gate: Operation,
  lowered: Operation,
): readonly (Fix | undefined)[] {
  const { order } = sequence;
  const zones = new Set(plan.vehicle?.batteryZones.map(({ value }) => value));
  const ofBattery = new Set(
    [...sequence.lives.values()]
      .filter(
        ({ connector: { id, zone } }) =>
          (zone !== undefined && zones.has(zone)) || lowered.connectors.some(({ value }) => value === id),
      )
      .flatMap(({ operations }) => operations),
  );
  const [back] = [...ofBattery]
    .filter((operation) => order.before(lowered, operation) && order.before(operation, gate))
    .sort((a, b) => order.compare(a, b));
  const places = zonesMaybeOut(plan, sequence, gate);
  const place = places.length > 0 ? ([['zone', inList(places)]] as const) : [];
  const raising: NewStep = { task: 'raise-battery', fields: place, by: 'nobody' };
  return [
    ...looseWays(plan, gate, plan.operationsDoing('raise-battery')),
    ...[back, gate].map(
      (operation) =>
        operation &&
        fix(
          say`Raise the traction battery before ${operation.planStep.id}`,
          insertBefore(plan, operation.planStep, [raising], [lowered.planStep]),
        ),
    ),
  ];
}

/** Ways to have the battery inspected before `step`: wait for an inspection that is there, right after the proof, right before the step. */
function inspectBefore(
  plan: Plan,
  { order }: Sequence,
  step: Operation,
  culprit?: Operation,
): readonly (Fix | undefined)[] {
  const inspection = plan
    .operationsDoing('inspect-battery')
    .find((operation) => !order.before(step, operation) && (!culprit || !order.before(operation, culprit)));
  const inspecting: NewStep = { task: 'inspect-battery', fields: [], by: 'nobody' };
  const proof = culprit
    ? undefined
    : plan
        .operationsDoing('prove-dead')
        .find((operation) => operation.step === operation.planStep && order.before(operation, step));
  const last = proof ?? culprit;
  return [
    inspection && onlyAfter(plan, step, inspection),
    last &&
      fix(
        say`Inspect the traction battery after ${last.planStep.id}`,
        insertAfter(plan, last.planStep, [inspecting], [step.planStep]),
      ),
    fix(
      say`Inspect the traction battery before ${step.planStep.id}`,
      insertBefore(plan, step.planStep, [inspecting]),
    ),
  ];
}
