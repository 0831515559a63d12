import { mapDefined } from '../../base/collections.ts';
import { nearest } from '../../base/nearest.ts';
import { rangeOf } from '../../text/span.ts';
import { say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import { highVoltageAbove } from '../../plan/tables/electrical-safety.ts';
import type { VoltageKind } from '../../plan/tables/electrical-safety.ts';
import type { Operation } from '../../plan/operations.ts';
import { operationsThat } from '../../plan/plan.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Connector } from '../../plan/scope.ts';
import type { Quantity } from '../../plan/read.ts';
import { livesThat } from '../../sequence/lives.ts';
import type { Sequence } from '../../sequence/lives.ts';
import type { NewStep } from './mending.ts';

/** Said where a rule of vehicle approval is held against workshop work. */
export const scopeOfVehicleRules = say`ISO 6469-3 says of itself that it does not fully cover people who maintain and repair vehicles; the vehicle maker goes first.`;

/** Direct, unless the plan says otherwise: the traction voltage of a road vehicle is the battery's. */
export const voltageKind = ({ vehicle }: Plan): VoltageKind => vehicle?.voltageKind ?? 'direct';

export const kindWords: Readonly<Record<VoltageKind, Phrase>> = {
  direct: say`DC`,
  alternating: say`AC`,
};

/** The voltage at a connector: its own where a list states one, else the system's. */
export const voltageAt = ({ vehicle }: Plan, connector: Connector | undefined): Quantity | undefined =>
  connector?.voltage ?? vehicle?.systemVoltage;

/** The highest voltage that a step meets: that of the connectors it names, else the system's. */
export function voltageMet(plan: Plan, { connectors }: Operation): Quantity | undefined {
  const own = mapDefined(connectors, ({ value }) => voltageAt(plan, plan.scope.connectors.get(value)));
  return own.sort((a, b) => b.si - a.si)[0] ?? plan.vehicle?.systemVoltage;
}

/** Whether opening this connector may open a high-voltage circuit; it may while nobody states a lower voltage. */
export function mayCarryHighVoltage(plan: Plan, connector: Connector): boolean {
  if (connector.class !== 'high-voltage-power' && connector.class !== 'interlock') return false;
  const voltage = voltageAt(plan, connector);
  return !voltage || voltage.si > highVoltageAbove[voltageKind(plan)];
}

/** Connectors that may carry it, by their class, as far as their lives are known. */
export const onHighVoltage = livesThat(
  ({ connector, unsure }) =>
    !unsure && (connector.class === 'high-voltage-power' || connector.class === 'interlock'),
);

/** The steps that make the system safe, in the order of EN 50110-1. */
const safeSteps = ['isolate', 'lock-out', 'wait', 'prove-dead'] as const;
export type SafeStep = (typeof safeSteps)[number];

export interface MakingSafe {
  /** What is not certain to be done, after isolating, before the target and without powering up in between. */
  readonly missing: readonly SafeStep[];
  /** The proofs that count. */
  readonly proofs: readonly Operation[];
  /** Steps that may put the voltage back between an isolation and the target. */
  readonly powered: readonly Operation[];
}

/** How far the high-voltage system is certain to be made safe before `target` starts. */
export function makingSafe(plan: Plan, { order, gates }: Sequence, target: Operation): MakingSafe {
  const powering = gates.filter(({ taskId }) => taskId !== 'deliver');
  const earlier = (task: SafeStep): Operation[] =>
    plan.doing(task).filter((one) => order.before(one, target));
  const between = (one: Operation): Operation[] =>
    powering.filter((gate) => order.mayFallBetween(one, gate, target));
  const lasting = (task: SafeStep): Operation[] => earlier(task).filter((one) => between(one).length === 0);
  const behind = (steps: Operation[], first: readonly Operation[]): Operation[] =>
    first.length === 0 ? steps : steps.filter((step) => first.some((one) => order.before(one, step)));
  const isolate = lasting('isolate');
  const lock = behind(lasting('lock-out'), isolate);
  const wait = behind(lasting('wait'), isolate);
  const proofs = behind(lasting('prove-dead'), wait.length > 0 ? wait : isolate);
  const done = { isolate, 'lock-out': lock, wait, 'prove-dead': proofs };
  return {
    missing: safeSteps.filter((step) => done[step].length === 0),
    proofs,
    powered: [...new Set(earlier('isolate').flatMap(between))],
  };
}

/** A proof that the plan has anyway, after all that makes safe, and that `target` could wait for. */
export const proofToWaitFor = (plan: Plan, sequence: Sequence, target: Operation): Operation | undefined =>
  plan
    .doing('prove-dead')
    .find(
      (proof) =>
        proof.planStep !== target.planStep &&
        !sequence.order.before(target, proof) &&
        makingSafe(plan, sequence, proof).missing.every((step) => step === 'prove-dead'),
    );

/** A step that cannot be read may be one of those that make safe: then nothing is said. */
export const safetyUnsure = (plan: Plan): boolean => plan.opaque.length > 0 || unsure(plan).length > 0;

const unsure = operationsThat(
  ({ task, taskId, step }) =>
    step.node.broken === true || (!task && nearest(taskId, [...safeSteps, 'battery-12v-off']) !== undefined),
);

/**
 * The missing steps as they are written into a plan. The wait takes the maker's time where the plan states it and
 * none otherwise; proving dead comes again after a wait that was missing.
 */
export function safeStepsOwed({ vehicle }: Plan, missing: readonly SafeStep[]): NewStep[] {
  const wait = vehicle?.dischargeWait;
  return safeSteps
    .filter((step) => missing.includes(step) || (step === 'prove-dead' && missing.includes('wait')))
    .map((task) => ({
      task,
      fields:
        task === 'wait' && wait
          ? [['time', wait.text]]
          : task === 'prove-dead'
            ? [['meter-proven', 'before-and-after']]
            : [],
    }));
}

/** Where to point at a value of a step: the value itself when it stands in the plan, else the step's own line. */
export const valuePlace = (
  plan: Plan,
  operation: Operation,
  { span }: { span: Quantity['span'] },
): Quantity['span'] => (rangeOf(span).uri === plan.uri ? span : operation.span);
