/** Which steps meet fluid lines that may still be full. */
import { addToGroup } from '../../base/collections.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import { ConnectorFacts } from '../../sequence/facts/timeline.ts';
import type { ConnectorHistory } from '../../sequence/life.ts';
import type { Sequence } from '../../sequence/lives.ts';

/**
 * The steps that do one of `tasks` where a line runs that is not certain to be empty, each with the lines; earlier first.
 * @param counts whether a step counts, all unless stated
 */
export function stepsAtFullLines(
  plan: Plan,
  sequence: Sequence,
  lines: readonly ConnectorHistory[],
  tasks: ReadonlySet<string>,
  counts: (step: Operation) => boolean = () => true,
): readonly (readonly [step: Operation, lines: readonly string[]])[] {
  const met = new Map<Operation, string[]>();
  for (const life of lines) {
    const { id, zone } = life.connector;
    const facts = new ConnectorFacts(plan, sequence, life);
    for (const task of tasks) {
      for (const step of sequence.workingIn(zone, task))
        if (counts(step) && !facts.verdict('line-empty', step).met) addToGroup(met, step, id);
    }
  }
  return [...met].sort(([a], [b]) => sequence.order.compare(a, b));
}
