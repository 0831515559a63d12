/** The two findings about live work, `live-opening` and `live-work`: one report for each cause, at the first step it meets. */
import { orList, andList, say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import type { Plan } from '../../plan/plan.ts';
import type { FindingReport, CheckContext } from '../finding.ts';
import type { IsolationStep } from './high-voltage.ts';
import { liveWork } from './live-work.ts';
import type { HighVoltageStep, LiveGroup } from './live-work.ts';
import { alsoAt, andAt, toldApart } from './needs.ts';
import type { Told } from './needs.ts';
import { makeSafeWays } from './make-safe.ts';
import { traceAt, spanOfMention, named, ofConnectors } from './words.ts';

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
  { plan, isActive: counts }: CheckContext,
  finding: string,
): Generator<FindingReport> {
  const isAccepted = (step: HighVoltageStep): boolean => {
    const { operation, connectors } = step;
    const [only] = connectors.length === 1 ? connectors : [];
    return !counts(findingOf(step), { operation: operation.id, ...(only ? { connector: only.id } : {}) });
  };
  for (const group of toldApart(liveWork(plan), isAccepted)) {
    if (findingOf(group.first) === finding) yield tell(plan, group);
  }
}

function tell(
  plan: Plan,
  { missing, culprit, proofs, first, others }: Told<LiveGroup, HighVoltageStep>,
): FindingReport {
  const { operation, connectors } = first;
  const more = others.map((other) => other.operation);
  const ids = connectors.map(({ id }) => id);
  const undone = orList(missing.map((step) => verbs[step]));
  const again = culprit ? say` after ${named(culprit)}` : '';
  return {
    at: ids.length > 0 ? spanOfMention(operation, ids[0]!) : operation.span,
    operation: operation.id,
    ...ofConnectors(ids),
    message:
      operation.taskId === 'disconnect'
        ? say`${named(operation)} opens ${andList(ids)}, but${again} no step that must come first ${undone}. Live contacts kill: put what is missing before ${operation.id}, as the vehicle maker specifies.`
        : operation.taskId === 'prove-dead'
          ? say`${named(operation)} proves nothing${again}: no step that must come first ${undone}. Whoever trusts it puts hands on live parts: put what is missing before ${operation.id}, as the vehicle maker specifies.`
          : ids.length > 0
            ? say`${named(operation)} puts hands on ${andList(ids)}, but${again} no step that must come first ${undone}. Live contacts kill: put what is missing before ${operation.id}, as the vehicle maker specifies.`
            : say`${named(operation)} puts hands on the high-voltage system, but${again} no step that must come first ${undone}. Live contacts kill: put what is missing before ${operation.id}, as the vehicle maker specifies.`,
    trace: [
      ...(culprit ? [traceAt(culprit, say`${named(culprit)} may make the system live again here`)] : []),
      ...proofs.slice(-1).map((proof) => traceAt(proof, say`${named(proof)}: the proof that is there`)),
      ...alsoAt(more),
    ],
    ...andAt(more),
    lacks: missing,
    fixes: () =>
      operation.taskId === 'prove-dead' ? [] : [makeSafeWays(plan, operation, { missing, culprit })],
  };
}
