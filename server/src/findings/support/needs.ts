/** Steps whose needs are not met, grouped by cause: one cause is one finding. */
import { andList, say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import type { VehicleFact } from '../../plan/tables/effects.ts';
import { VehicleFacts } from '../../sequence/facts/timeline.ts';
import { sequenceOf } from '../../sequence/lives.ts';
import type { CheckContext, FindingReport, Trace } from '../finding.ts';
import { traceAt, named } from './words.ts';

/** Steps that lack the same fact for the same reason. */
export interface UnmetGroup {
  /** The step that ended the fact; undefined if nothing is certain to make it. */
  readonly culprit: Operation | undefined;
  /** Earlier first, at least one. */
  readonly steps: readonly Operation[];
}

/**
 * The steps among `steps` at which a fact about the vehicle is not certain, by what ended it.
 * @param isTold whether another finding tells that a step may end the fact there; a step with no other culprit is left out
 */
export function unmetGroups(
  plan: Plan,
  fact: VehicleFact,
  steps: readonly Operation[],
  isTold: (culprit: Operation, step: Operation) => boolean = () => false,
): readonly UnmetGroup[] {
  const { order } = sequenceOf(plan);
  const facts = new VehicleFacts(plan);
  const makers = new Set(facts.timeline(fact).makers);
  const groups: { culprit: Operation | undefined; steps: Operation[] }[] = [];
  for (const step of [...steps].sort((a, b) => order.compare(a, b))) {
    const found = facts.verdict(fact, step);
    if (found.met) continue;
    const left = found.culprits.filter((operation) => !isTold(operation, step));
    if (left.length === 0 && found.culprits.length > 0) continue;
    // Of several steps beside each other that make it together, none is to blame.
    const culprit = left.findLast((operation) => !makers.has(operation));
    const known = groups.find((group) => group.culprit === culprit);
    if (known) known.steps.push(step);
    else groups.push({ culprit, steps: [step] });
  }
  return groups;
}

/** A group, or a part of it, as one report tells it. */
export type Told<G, S> = G & {
  readonly first: S;
  readonly others: readonly S[];
};

/**
 * Groups as they are told: steps at which the finding is accepted stand alone, so that an acceptance of one step never
 * silences another.
 */
export function* toldApart<S, G extends { readonly steps: readonly S[] }>(
  groups: Iterable<G>,
  isAccepted: (step: S) => boolean,
): Generator<Told<G, S>> {
  for (const group of groups) {
    const accepted = group.steps.filter(isAccepted);
    const open = group.steps.filter((step) => !accepted.includes(step));
    for (const steps of [...accepted.map((step) => [step]), ...(open.length > 0 ? [open] : [])]) {
      yield { ...group, steps, first: steps[0]!, others: steps.slice(1) };
    }
  }
}

/** The same for groups of plain steps. */
export const told = (
  { isActive: counts }: Pick<CheckContext, 'isActive'>,
  finding: string,
  groups: readonly UnmetGroup[],
): Iterable<Told<UnmetGroup, Operation>> =>
  toldApart(groups, ({ id }) => !counts(finding, { operation: id }));

/** What a report says of the other steps of its group. */
export const andAt = (others: readonly Operation[]): Pick<FindingReport, 'also'> => ({
  also: others.map(({ id }) => id),
});

/** Trace entries for the other steps of a group: up to five, or four and how many more. */
export function alsoAt(others: readonly Operation[]): Trace[] {
  const told = others.length > 5 ? others.slice(0, 4) : others;
  const trace = told.map((other) => traceAt(other, say`${named(other)} needs the same`));
  const last = others.at(-1);
  if (others.length > 5 && last)
    trace.push(traceAt(last, say`${others.length - 4} more steps need the same, up to here`));
  return trace;
}

/** "charge-inlet and inverter-dc", the first four by name. */
export function someOf(ids: readonly string[]): Phrase {
  return ids.length > 4 ? andList([...ids.slice(0, 3), say`${ids.length - 3} more`]) : andList(ids);
}
