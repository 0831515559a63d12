/** With which severity a finding is told of a plan, and which errors were lowered. */
import type { Plan } from '../plan/plan.ts';
import { severityIn } from '../plan/snapshot.ts';
import type { ReportedSeverity } from '../plan/snapshot.ts';
import type { CheckContext, FindingRule, Prerequisite } from './finding.ts';
import { findings } from './registry.ts';

/** The settings go before the rate sheet; undefined where both leave a finding its own severity. */
export const severityOf = ({ id, isFixed }: FindingRule, plan: Plan): ReportedSeverity | 'off' | undefined =>
  isFixed ? undefined : (severityIn(id)(plan.reading) ?? plan.scope.policy.severities.get(id));

const groundsOfWork: ReadonlySet<Prerequisite> = new Set(['order', 'safety', 'readings', 'proof']);

/** Whether a finding is about the order and the safety of the work, rather than about the bill or the text. */
export const isAboutWork = ({ ground }: FindingRule): boolean => groundsOfWork.has(ground);

/** Errors of what stands in the text: while one is there, something is not read and nothing is said of it. */
const isOfText = ({ severity, ground }: FindingRule): boolean =>
  severity === 'error' && (ground === 'text' || ground === 'names');

/** What is corrected and cannot be accepted: an acceptance would leave unchecked whatever rests on that text. */
export const isCorrected = (finding: FindingRule): boolean => finding.isFixed === true || isOfText(finding);

const errorsOfWork = findings.filter((finding) => finding.severity === 'error' && isAboutWork(finding));
const errorsOfText = findings.filter(isOfText);

/** Errors that the rate sheet or the settings switch off or lower, by id. */
export function loweredErrors(plan: Plan): CheckContext['loweredErrors'] {
  const lowered = (list: readonly FindingRule[]): string[] =>
    list.filter((finding) => (severityOf(finding, plan) ?? 'error') !== 'error').map(({ id }) => id);
  return { ofWork: lowered(errorsOfWork), ofText: lowered(errorsOfText) };
}
