/** Work on high-voltage connectors that is not certain to find the system dead. One group for each cause. */
import { addToGroup } from '../../base/collections.ts';
import { query } from '../../incremental/query.ts';
import type { Operation } from '../../plan/operations.ts';
import { SnapshotPlan } from '../../plan/plan.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Connector } from '../../plan/scope.ts';
import type { Snapshot } from '../../plan/snapshot.ts';
import {
  glovedOnIsolating,
  needsDead,
  needsDeadOnTheVehicle,
  needsDeadWhileOpen,
} from '../../plan/tables/needs.ts';
import {
  ConnectorFacts,
  VehicleFacts,
  isVehicleFactMet,
  vehicleTimeline,
} from '../../sequence/facts/timeline.ts';
import { sequenceOf } from '../../sequence/lives.ts';
import type { Sequence } from '../../sequence/lives.ts';
import { mayCarryHighVoltage, mayHaveHighVoltage } from '../../plan/high-voltage.ts';
import { isolationState, onHighVoltage } from './high-voltage.ts';
import type { IsolationState } from './high-voltage.ts';

/** A step on high voltage, with the connectors of it that may carry it; none for work on the battery as a whole. */
export interface HighVoltageStep {
  readonly operation: Operation;
  readonly connectors: readonly Connector[];
}

/** Steps that lack the same links of the chain for the same reason, earlier first. */
export interface LiveGroup extends Pick<IsolationState, 'missing' | 'culprit'> {
  readonly steps: readonly HighVoltageStep[];
  readonly proofs: readonly Operation[];
}

/** The steps that need a dead system, in an order the plan allows. */
export const highVoltageSteps = ({ reading }: Plan): readonly HighVoltageStep[] => stepsIn(reading);

const stepsIn = query((reading: Snapshot): readonly HighVoltageStep[] => {
  const plan = new SnapshotPlan(reading);
  const sequence = sequenceOf(plan);
  const found = new Map<Operation, Connector[]>();
  for (const life of onHighVoltage(plan)) {
    const { connector, operations } = life;
    if (!mayCarryHighVoltage(plan, connector)) continue;
    const facts = new ConnectorFacts(plan, sequence, life);
    for (const operation of operations) {
      const { taskId } = operation;
      // Opening a service plug is the isolation itself: it is done with gloves, as the vehicle maker specifies.
      if (connector.isolates && glovedOnIsolating.has(taskId)) continue;
      const open = needsDeadWhileOpen.has(taskId) && !facts.isMet('closed', operation);
      // A tug at a closed plug can part it under load.
      const underLoad = taskId === 'check-seated' && !isVehicleFactMet(plan, 'not-powered', operation);
      if (open || underLoad || needsDead.has(taskId)) addToGroup(found, operation, connector);
    }
  }
  for (const task of needsDeadOnTheVehicle)
    for (const operation of plan.operationsDoing(task)) found.set(operation, []);
  return [...found]
    .map(([operation, connectors]) => ({ operation, connectors }))
    .sort((a, b) => sequence.order.compare(a.operation, b.operation));
});

/** The proofs of a plan in which no step on high voltage rests on them: whoever reads one trusts it all the same. */
const proofsAlone = query((reading: Snapshot): readonly Operation[] => {
  const plan = new SnapshotPlan(reading);
  if (stepsIn(reading).length > 0 || !mayHaveHighVoltage(plan)) return [];
  const { order } = sequenceOf(plan);
  return [...plan.operationsDoing('prove-dead')].sort((a, b) => order.compare(a, b));
});

/** How far the system is certain to be made safe before each of them. */
const statesIn = query((reading: Snapshot): readonly IsolationState[] => {
  const facts = new VehicleFacts(new SnapshotPlan(reading));
  return stepsIn(reading).map(({ operation }) => isolationState(facts, operation));
});

export const liveWork = ({ reading }: Plan): readonly LiveGroup[] => liveWorkIn(reading);

const liveWorkIn = query((reading: Snapshot): readonly LiveGroup[] => {
  const groups: {
    missing: IsolationState['missing'];
    culprit: Operation | undefined;
    proofs: readonly Operation[];
    steps: HighVoltageStep[];
  }[] = [];
  const tell = (step: HighVoltageStep, { missing, culprit, proofs }: IsolationState): void => {
    if (missing.length === 0) return;
    const known = groups.find(
      (group) => group.culprit === culprit && group.missing.join() === missing.join(),
    );
    if (known) known.steps.push(step);
    else groups.push({ missing, culprit, proofs, steps: [step] });
  };
  const states = statesIn(reading);
  for (const [i, step] of stepsIn(reading).entries()) tell(step, states[i]!);
  const facts = new VehicleFacts(new SnapshotPlan(reading));
  for (const operation of proofsAlone(reading)) {
    const { missing, culprit } = isolationState(facts, operation);
    const before = missing.filter((link) => link !== 'prove-dead');
    tell({ operation, connectors: [] }, { missing: before, culprit, proofs: [] });
  }
  return groups;
});

/**
 * The last proof on which each high-voltage step rests, with the first such step, where no proof that counts for it has a proven
 * meter. Without such steps, the last proof of all.
 */
export function proofsReliedOn(
  plan: Plan,
  sequence: Sequence,
): ReadonlyMap<Operation, Operation | undefined> {
  const relied = new Map<Operation, Operation | undefined>();
  const alone = proofsAlone(plan.reading);
  const last = alone.at(-1);
  if (last && !alone.some(hasProvenMeter)) relied.set(last, undefined);
  const states = statesIn(plan.reading);
  for (const [i, { operation }] of stepsIn(plan.reading).entries()) {
    const { missing, proofs } = states[i]!;
    const last = proofs.at(-1);
    if (missing.length > 0 || !last || relied.has(last)) continue;
    // Of a proof that has lost its worth since, the meter no longer matters.
    const stale = vehicleTimeline(plan, 'proof-fresh').enders.filter(
      (ender) => !sequence.order.before(operation, ender),
    );
    const fresh = proofs.filter((proof) => !stale.some((ender) => sequence.order.before(proof, ender)));
    if (!(fresh.length > 0 ? fresh : proofs).some(hasProvenMeter)) relied.set(last, operation);
  }
  return relied;
}

const hasProvenMeter = ({ step }: Operation): boolean =>
  step.node.get('meter-proven')?.value === 'before-and-after';
