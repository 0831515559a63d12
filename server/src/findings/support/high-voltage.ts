import { standards } from '../../base/standards.ts';
import { nearest } from '../../base/nearest.ts';
import { say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import { hasIgniter } from '../../plan/tables/classes.ts';
import type { VoltageKind } from '../../plan/tables/electrical-safety.ts';
import type { Operation } from '../../plan/operations.ts';
import { query } from '../../incremental/query.ts';
import { SnapshotPlan, operationsWhere } from '../../plan/plan.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Quantity } from '../../plan/read.ts';
import type { Snapshot } from '../../plan/snapshot.ts';
import { historiesWhere, sequenceOf } from '../../sequence/lives.ts';
import type { Sequence } from '../../sequence/lives.ts';
import type { VehicleFacts } from '../../sequence/facts/timeline.ts';
import type { VehicleFact } from '../../plan/tables/effects.ts';
import { vehicleTimeline } from '../../sequence/facts/timeline.ts';
import type { NewStep } from './mending.ts';

/** Appended where a vehicle-approval rule is applied to workshop work. */
export const scopeOfVehicleRules = say`${standards.vehicleElectricalSafety} states that it does not fully cover people who maintain and repair vehicles; the vehicle maker's procedure takes precedence.`;

export const voltageKindWords: Readonly<Record<VoltageKind, Phrase>> = {
  direct: say`DC`,
  alternating: say`AC`,
};

/** Connectors that may carry it, by their class, as far as their lives are known. */
export const onHighVoltage = historiesWhere(
  ({ connector, unsure }) =>
    !unsure && (connector.class === 'high-voltage-power' || connector.class === 'interlock'),
);

/** The steps that make the system safe, in the order of EN 50110-1. */
export const safeSteps = ['isolate', 'lock-out', 'wait', 'prove-dead'] as const;
export type IsolationStep = (typeof safeSteps)[number];

/** The fact that each step makes certain. */
const safeFacts: Readonly<Record<IsolationStep, VehicleFact>> = {
  isolate: 'isolated',
  'lock-out': 'locked-out',
  wait: 'waited',
  'prove-dead': 'high-voltage-dead',
};

export interface IsolationState {
  /** The links of the chain that are not certain when the target starts. A link that rests on a missing one is judged without it. */
  readonly missing: readonly IsolationStep[];
  /** The proofs that count and come first. */
  readonly proofs: readonly Operation[];
  /** The step that may have made the system live again, if that is what is wrong. */
  readonly culprit: Operation | undefined;
}

/** How far the high-voltage system is certain to be made safe before `target` starts. */
export function isolationState(facts: VehicleFacts, target: Operation): IsolationState {
  const assumed: VehicleFact[] = [];
  const missing: IsolationStep[] = [];
  let culprit: Operation | undefined;
  for (const step of safeSteps) {
    const fact = safeFacts[step];
    if (facts.isMet(fact, target, assumed)) continue;
    if (missing.length === 0) {
      const found = facts.verdict(fact, target, assumed);
      if (!found.met) culprit = found.culprit;
    }
    missing.push(step);
    assumed.push(fact);
  }
  const { order } = sequenceOf(facts.plan);
  const proofs = facts.timeline('high-voltage-dead').makers.filter((proof) => order.before(proof, target));
  return { missing, proofs, culprit };
}

/**
 * A proving-dead step already in the plan, after all isolation steps, that `target` could be made to wait
 * for.
 */
export const proofToWaitFor = (plan: Plan, { order }: Sequence, target: Operation): Operation | undefined =>
  vehicleTimeline(plan, 'high-voltage-dead').makers.find(
    (proof) => proof.planStep !== target.planStep && !order.before(target, proof),
  );

/** An unreadable step may be an isolation step; nothing is reported then. */
export const safetyUnsure = ({ reading }: Plan): boolean => isUnsure(reading);

/** A query of its own: findings that read only the answer stay valid while a step is typed. */
const isUnsure = query((reading: Snapshot): boolean => {
  const plan = new SnapshotPlan(reading);
  return plan.unknownCalls.length > 0 || unsure(plan).length > 0;
});

const unsure = operationsWhere(
  ({ task, taskId, step }) =>
    step.node.partlyParsed === true ||
    (!task && nearest(taskId, [...safeSteps, 'battery-12v-off']) !== undefined),
);

/**
 * The steps from the first missing link on, as they are written into a plan: a later link proves nothing without the
 * earlier ones before it. The wait takes the vehicle maker's time where the plan states it, and none otherwise. Nobody is
 * named: who may do it, the plan does not say.
 */
export function missingIsolationSteps(plan: Plan, missing: readonly IsolationStep[]): NewStep[] {
  const igniters = [...plan.scope.connectors.values()].some(hasIgniter);
  const wait = igniters ? longerWait(plan) : plan.vehicle?.dischargeWait;
  return safeSteps.slice(safeSteps.indexOf(missing[0]!)).map((task) => ({
    task,
    by: 'nobody',
    fields:
      task === 'wait' && wait
        ? [['time', wait.text]]
        : task === 'prove-dead'
          ? [['meter-proven', 'before-and-after']]
          : [],
  }));
}

/** The longer of the vehicle maker's two waits, after isolating and after disconnecting the 12 V battery: one wait may serve both. */
export function longerWait({ vehicle }: Plan): Quantity | undefined {
  const [discharge, restraint] = [vehicle?.dischargeWait, vehicle?.restraintWait];
  return discharge && restraint && restraint.si > discharge.si ? restraint : (discharge ?? restraint);
}
