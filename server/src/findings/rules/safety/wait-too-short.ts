import { standards } from '../../../base/standards.ts';
import { setKey } from '../../../document/edits.ts';
import { rangeOf } from '../../../text/span.ts';
import type { Edit } from '../../../text/span.ts';
import { dischargeWait, storedEnergy, voltageAfter } from '../../../heat/discharge.ts';
import type { DischargeCircuit } from '../../../heat/discharge.ts';
import { durationText, quantityText } from '../../../heat/text.ts';
import { say } from '../../../language/phrase.ts';
import { highVoltageAbove } from '../../../plan/tables/electrical-safety.ts';
import type { Operation } from '../../../plan/operations.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import type { Plan } from '../../../plan/plan.ts';
import type { Quantity } from '../../../plan/read.ts';
import { possibleMakers } from '../../../sequence/facts/timeline.ts';
import { exceeds } from '../../support/compare.ts';
import { actsAs } from '../../support/tools.ts';
import type { FindingReport, FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { mayHaveHighVoltage, voltageKind } from '../../../plan/high-voltage.ts';
import { scopeOfVehicleRules } from '../../support/high-voltage.ts';
import { fix } from '../../support/mending.ts';
import { named, valueSpan } from '../../support/words.ts';

export const waitTooShort: FindingRule = {
  id: 'wait-too-short',
  title: say`The wait for the capacitors is too short`,
  severity: 'error',
  page: () => ({
    means: say`The wait after isolation of the high-voltage system, or of the 48 V system where there is none, is shorter than the vehicle maker's, or shorter than the time in which the stated capacitance falls from the system voltage to 60 V DC through the stated resistance, or no time is given. A task of the shop's own that counts as the wait for airbags and pretensioners by its row, and gives no time.`,
    why: say`After the contactors open, the capacitors of the inverter still hold the full voltage. They discharge through a resistor, and that takes time; the resistor can also be broken, so a wait never replaces proving dead. Voltage and energy are two separate limits: at 60 V, more than 111 µF still holds over 0.2 J.`,
    whatToDo: say`Wait at least the vehicle maker's waiting time, then prove dead.`,
    source: say`60 V DC: ${standards.r100} and ${standards.vehicleElectricalSafety}, voltage class A. t = RC ln(V0/60 V): OpenStax College Physics. ${scopeOfVehicleRules}`,
    example: {
      wrong: `vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 400 V, discharge-wait: 5 min }
operations:
  - { id: op10, do: isolate }
  - { id: op14, do: wait, time: 2 min }
`,
      right: `vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 400 V, discharge-wait: 5 min }
operations:
  - { id: op10, do: isolate }
  - { id: op14, do: wait, time: 5 min }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  *check({ plan, sequence }) {
    const maker = plan.vehicle?.dischargeWait;
    const computed = computedWait(plan);
    const has48Alone = !mayHaveHighVoltage(plan);
    const isolations = possibleMakers(plan, has48Alone ? '48v-off' : 'isolated');
    yield* untimedForAirbags(plan);
    for (const operation of waits(plan)) {
      const { time } = operation;
      if (!isolations.some((one) => sequence.order.before(one, operation))) continue;
      if (!time) {
        // An unreadable time has its own finding.
        if (!maker || operation.step.node.entry('time')) continue;
        yield {
          at: operation.span,
          operation: operation.id,
          severity: 'warning',
          message: say`${named(operation)} does not say how long, and the vehicle maker specifies ${maker.text}. Charged capacitors kill: write the time, so that nobody guesses it.`,
          trace: [{ at: maker.span, message: say`the vehicle maker's waiting time: ${maker.text}` }],
          fixes: () => [useMakers(plan, operation, maker)],
        };
        continue;
      }
      const place = valueSpan(plan, operation, time);
      if (maker && exceeds(maker.si, time.si)) {
        yield {
          at: place,
          operation: operation.id,
          message: has48Alone
            ? say`${named(operation)} lasts ${time.text}, but the vehicle maker specifies ${maker.text}: the capacitors of the 48 V system may still be charged, and an arc burns. Wait the full time.`
            : say`${named(operation)} lasts ${time.text}, but the vehicle maker specifies ${maker.text}: the capacitors may still be charged. Wait the full time, then prove dead.`,
          trace: [{ at: maker.span, message: say`the vehicle maker's waiting time: ${maker.text}` }],
          fixes: () => [useMakers(plan, operation, maker)],
        };
      } else if (computed && exceeds(computed.seconds, time.si)) {
        const { capacitance, resistance, voltage, seconds, circuit } = computed;
        const left = voltageAfter(circuit, time.si);
        const energy = storedEnergy(circuit.capacitance, left);
        yield {
          at: place,
          operation: operation.id,
          message: say`${named(operation)} lasts ${time.text}, but ${capacitance.text} through ${resistance.text} takes ${durationText(seconds)} to fall from ${voltage.text} to ${highVoltageAbove.direct} V DC (UN R100, ISO 6469-3). Ask the vehicle maker for the waiting time, and prove dead after it.`,
          trace: [
            { at: capacitance.span, message: say`the capacitance: ${capacitance.text}` },
            { at: resistance.span, message: say`the discharge resistance: ${resistance.text}` },
            {
              at: time.span,
              message: say`after ${time.text} an estimated ${quantityText(left, 'V')} and ${quantityText(energy, 'J')} remain; more if the resistor is damaged`,
            },
          ],
        };
      }
    }
  },
};

/** Tasks of the shop's own that count as the wait for airbags and pretensioners, and state no time. */
function* untimedForAirbags(plan: Plan): Generator<FindingReport> {
  const maker = plan.vehicle?.restraintWait;
  if (!maker) return;
  for (const operation of restraintWaits(plan)) {
    if (operation.step.node.entry('time')) continue;
    yield {
      at: operation.span,
      operation: operation.id,
      severity: 'warning',
      message: say`${named(operation)} does not say how long, and the vehicle maker specifies ${maker.text} before work on airbags and pretensioners. The control unit holds a charge that fires them: write the time, so that nobody guesses it.`,
      trace: [{ at: maker.span, message: say`the vehicle maker's waiting time: ${maker.text}` }],
      fixes: () => [useMakers(plan, operation, maker)],
    };
  }
}
const restraintWaits = operationsWhere(
  ({ task }) => task !== undefined && task.makes.includes('restraint-safe'),
);

/** Waits for capacitors, also by a task of the shop's own, as its row says. */
const waits = operationsWhere(actsAs('wait', 'waited', '48v-discharged'));

interface ComputedWait {
  readonly seconds: number;
  readonly circuit: DischargeCircuit;
  readonly capacitance: Quantity;
  readonly resistance: Quantity;
  readonly voltage: Quantity;
}

function computedWait(plan: Plan): ComputedWait | undefined {
  const { linkCapacitance, bleedResistance, systemVoltage } = plan.vehicle ?? {};
  if (!linkCapacitance || !bleedResistance || !systemVoltage || voltageKind(plan) !== 'direct')
    return undefined;
  const circuit = {
    capacitance: linkCapacitance.si,
    resistance: bleedResistance.si,
    voltage: systemVoltage.si,
  };
  if (!Object.values(circuit).every((value) => value > 0)) return undefined;
  return {
    seconds: dischargeWait(circuit).toVoltage,
    circuit,
    capacitance: linkCapacitance,
    resistance: bleedResistance,
    voltage: systemVoltage,
  };
}

function useMakers(plan: Plan, operation: Operation, { text }: Quantity): ReturnType<typeof fix> {
  const { time, step, planStep } = operation;
  const inPlan = time && rangeOf(time.span).uri === plan.uri;
  const edits: Edit[] = inPlan
    ? [{ ...rangeOf(time.span), text }]
    : step === planStep
      ? [setKey(plan.document, step.node, 'time', text)]
      : [];
  return fix(say`Wait ${text} in ${operation.id}, as the vehicle maker specifies`, edits);
}
