/** The two findings about live work, `live-opening` and `live-work`: one report for each cause, at the first step it meets. */
import { orList, andList, say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Fix, FindingReport, CheckContext } from '../finding.ts';
import { proofToWaitFor, missingIsolationSteps } from './high-voltage.ts';
import type { IsolationStep } from './high-voltage.ts';
import { liveWork } from './live-work.ts';
import type { HighVoltageStep, LiveGroup } from './live-work.ts';
import { fix, insertBefore, waitFor } from './mending.ts';
import { traceAt, spanOfMention, named } from './words.ts';

const verbs: Readonly<Record<IsolationStep, Phrase>> = {
  isolate: say`isolates the high-voltage system`,
  'lock-out': say`locks out the high-voltage system`,
  wait: say`waits for the capacitors to discharge`,
  'prove-dead': say`proves the high-voltage system dead`,
};

const findingOf = ({ operation }: HighVoltageStep): string =>
  operation.taskId === 'disconnect' ? 'live-opening' : 'live-work';

/**
 * The reports of one of the two findings. Steps at which the finding is accepted or switched off are told by themselves,
 * so that an acceptance of one step never silences another.
 */
export function* tellLiveWork(
  { plan, sequence, isActive: counts }: CheckContext,
  finding: string,
): Generator<FindingReport> {
  for (const group of liveWork(plan)) {
    const isAccepted = (step: HighVoltageStep): boolean => {
      const { operation, connectors } = step;
      const [only] = connectors.length === 1 ? connectors : [];
      return !counts(findingOf(step), { operation: operation.id, ...(only ? { connector: only.id } : {}) });
    };
    const accepted = group.steps.filter(isAccepted);
    const open = group.steps.filter((step) => !accepted.includes(step));
    const told = [...accepted.map((step) => [step]), ...(open.length > 0 ? [open] : [])];
    for (const steps of told) {
      if (findingOf(steps[0]!) === finding) yield tell(plan, sequence, group, steps);
    }
  }
}

function tell(
  plan: Plan,
  sequence: CheckContext['sequence'],
  { missing, culprit, proofs }: LiveGroup,
  [first, ...others]: readonly HighVoltageStep[],
): FindingReport {
  const { operation, connectors } = first!;
  const ids = connectors.map(({ id }) => id);
  const undone = orList(missing.map((step) => verbs[step]));
  const again = culprit ? say` after ${named(culprit)}` : '';
  return {
    at: ids.length > 0 ? spanOfMention(operation, ids[0]!) : operation.span,
    operation: operation.id,
    ...(ids.length === 1 ? { connector: ids[0]! } : {}),
    message:
      operation.taskId === 'disconnect'
        ? say`${named(operation)} opens ${andList(ids)}, but${again} no step that must come first ${undone}. Live contacts kill: put that step before ${operation.id}, as the vehicle maker specifies.`
        : ids.length > 0
          ? say`${named(operation)} puts hands on ${andList(ids)}, but${again} no step that must come first ${undone}. Live contacts kill: put that step before ${operation.id}, as the vehicle maker specifies.`
          : say`${named(operation)} puts hands on the high-voltage system, but${again} no step that must come first ${undone}. Live contacts kill: put that step before ${operation.id}, as the vehicle maker specifies.`,
    trace: [
      ...(culprit ? [traceAt(culprit, say`${named(culprit)} may make the system live again here`)] : []),
      ...proofs.slice(-1).map((proof) => traceAt(proof, say`${named(proof)}: the proof that is there`)),
      ...others
        .slice(0, 4)
        .map((other) => traceAt(other.operation, say`${named(other.operation)} needs the same`)),
      ...(others.length > 4
        ? [traceAt(others.at(-1)!.operation, say`${others.length - 4} more steps need the same, up to here`)]
        : []),
    ],
    fixes: () => [
      waitForProof(plan, operation, proofToWaitFor(plan, sequence, operation)),
      fix(
        say`Make the high-voltage system safe before ${operation.planStep.id}`,
        insertBefore(plan, operation.planStep, missingIsolationSteps(plan, missing)),
      ),
    ],
  };
}

/** Where the plan proves it dead anyway, the step only has to wait for that. */
const waitForProof = (plan: Plan, operation: Operation, proof: Operation | undefined): Fix | undefined =>
  proof &&
  fix(say`Do ${operation.planStep.id} only after ${proof.planStep.id}`, [
    waitFor(plan, operation.planStep, [proof.planStep.id]),
  ]);
