/** Verdicts on the order of a plan, which is sorted: long timelines are not looked at step by step. */
import { sameMembers } from '../../incremental/query.ts';
import type { Operation } from '../../plan/operations.ts';
import type { OperationOrder } from '../operation-order.ts';
import { isMet, verdict } from './verdict.ts';
import type { Timeline, Unmet, Verdict } from './verdict.ts';

export type StepTimeline = Timeline<Operation>;
export type StepVerdict = Verdict<Operation>;
type StepUnmet = Unmet<Operation>;

/** Whether a fact is certain when `step` starts, with the reasons where it is not. */
export const verdictAt = (order: OperationOrder, timeline: StepTimeline, step: Operation): StepVerdict =>
  isPlainlyMet(order, timeline, step) ? { met: true } : verdict(order, timeline, step);

/** The same without reasons. */
export const isMetAt = (order: OperationOrder, timeline: StepTimeline, step: Operation): boolean =>
  isPlainlyMet(order, timeline, step) || isMet(order, timeline, step);

/**
 * Whether a fact is seen to be met without a look at the whole timeline, which may be long and is sorted by `order.compare`: the
 * last certain maker comes after every ender that could precede the step.
 */
function isPlainlyMet(order: OperationOrder, { makers, enders }: StepTimeline, step: Operation): boolean {
  if (enders.length + makers.length <= 8) return false;
  const last = makers.findLast((maker) => maker !== step && order.before(maker, step));
  return (
    last !== undefined &&
    !order
      .candidatesBetween(enders, last, step)
      .some(
        (ender) =>
          ender !== step && ender !== last && !order.before(step, ender) && !order.before(ender, last),
      )
  );
}

/** A step at which a fact is not certain. */
export interface UnmetStep {
  readonly step: Operation;
  readonly verdict: StepUnmet;
}

/**
 * The steps among `steps` at which a fact that holds on arrival is not certain. Steps that no ender can precede, or that
 * certainly follow a maker which follows every ender, are not looked at one by one.
 * @param steps sorted by `order.compare`
 */
export function unmetSteps(
  order: OperationOrder,
  timeline: StepTimeline,
  steps: readonly Operation[],
): UnmetStep[] {
  const unmet: UnmetStep[] = [];
  const { makers, enders } = timeline;
  const seen = new Set<Operation>();
  for (const ender of enders) {
    const restored = order.firstAfter(makers, ender);
    for (const step of order.candidatesBetween(steps, ender, restored)) {
      // Most candidates precede the ender or follow the maker: those need no verdict.
      if (step === ender || seen.has(step) || order.before(step, ender)) continue;
      if (restored && order.before(restored, step)) continue;
      seen.add(step);
      const found = verdict(order, timeline, step);
      if (!found.met) unmet.push({ step, verdict: found });
    }
  }
  return unmet.length < 2 ? unmet : unmet.sort((a, b) => order.compare(a.step, b.step));
}

/** Whether two timelines of one fact are the same. */
export const sameTimeline = (before: StepTimeline, now: StepTimeline): boolean =>
  before.arrival === now.arrival &&
  sameMembers(before.makers, now.makers) &&
  sameMembers(before.enders, now.enders);
