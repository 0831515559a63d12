/** Which steps meet fluid lines that may still be full, or fuel. */
import { addToGroup } from '../../base/collections.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import { ConnectorFacts } from '../../sequence/facts/timeline.ts';
import type { ConnectorHistory } from '../../sequence/life.ts';
import { historiesWhere } from '../../sequence/lives.ts';
import type { Sequence } from '../../sequence/lives.ts';
import { isUnderPressure, sparkLit } from '../../plan/tables/fluids.ts';
import { fuelLines, isFuelOut, isInFuelZone } from './fuel.ts';

/** Lines and reservoirs of brakes, steering and suspension. */
const pressureLines = historiesWhere(
  ({ connector, unsure }) =>
    !unsure &&
    connector.class === 'fluid-line' &&
    connector.zone !== undefined &&
    isUnderPressure(connector.medium),
);

/** The steps that do one of `tasks` where such a line runs whose pressure is not certain to be relieved, each with the lines. */
export const stepsAtPressure = (
  plan: Plan,
  sequence: Sequence,
  tasks: ReadonlySet<string>,
): ReturnType<typeof stepsAtFullLines> =>
  stepsAtFullLines(
    plan,
    sequence,
    pressureLines(plan),
    tasks,
    isPlaced,
    (facts, step) => facts.isMet('depressurised', step) || facts.isMet('open', step),
  );

/**
 * The steps that do one of `tasks` where a line runs that is not certain to be empty, each with the lines; earlier first.
 * @param counts whether a step counts, all unless stated
 * @param isSafe whether nothing comes out of a line, an empty one unless stated
 */
export function stepsAtFullLines(
  plan: Plan,
  sequence: Sequence,
  lines: readonly ConnectorHistory[],
  tasks: ReadonlySet<string>,
  counts: (step: Operation) => boolean = () => true,
  isSafe = (facts: ConnectorFacts, step: Operation): boolean => facts.isMet('line-empty', step),
): readonly (readonly [step: Operation, lines: readonly string[]])[] {
  const met = new Map<Operation, string[]>();
  for (const life of lines) {
    const { id, zone } = life.connector;
    const facts = new ConnectorFacts(plan, sequence, life);
    for (const task of tasks) {
      for (const step of sequence.workingIn(zone, task))
        if (counts(step) && !isSafe(facts, step)) addToGroup(met, step, id);
    }
  }
  return [...met].sort(([a], [b]) => sequence.order.compare(a, b));
}

/** Steps that meet the same fuel lines, earlier first; no lines where they meet only a zone that the plan states for fuel. */
export interface StepsAtFuel {
  readonly ids: readonly string[];
  readonly steps: readonly Operation[];
  /** Whether a spark lights what runs there, as far as anybody knows. */
  readonly sparkLit: boolean;
}

/** The steps that do one of `tasks` where fuel runs that is not certain to be out, by the lines that they meet. */
export function fuelAt(plan: Plan, sequence: Sequence, tasks: ReadonlySet<string>): readonly StepsAtFuel[] {
  const lines = fuelLines(plan);
  const media = new Map(lines.map(({ connector: { id, medium } }) => [id, medium]));
  const met = new Map(stepsAtFullLines(plan, sequence, lines, tasks, isPlaced));
  for (const task of tasks) {
    for (const step of plan.operationsDoing(task))
      if (!met.has(step) && isPlaced(step) && isInFuelZone(plan, step) && !isFuelOut(plan, step))
        met.set(step, []);
  }
  const groups = new Map<string, { ids: readonly string[]; steps: Operation[] }>();
  for (const [step, ids] of met) {
    const known = groups.get(ids.join(' '));
    if (known) known.steps.push(step);
    else groups.set(ids.join(' '), { ids, steps: [step] });
  }
  return [...groups.values()].map(({ ids, steps }) => ({
    ids,
    steps: steps.sort((a, b) => sequence.order.compare(a, b)),
    sparkLit: ids.length === 0 || ids.some((id) => sparkLit.has(media.get(id)!)),
  }));
}

/** A step without a zone is told by itself (`zone-missing`). */
const isPlaced = ({ zones }: Operation): boolean => zones.length > 0;
