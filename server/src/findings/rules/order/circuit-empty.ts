import { mapDefined } from '../../../base/collections.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Plan } from '../../../plan/plan.ts';
import type { VehicleFact } from '../../../plan/tables/effects.ts';
import { ConnectorFacts } from '../../../sequence/facts/timeline.ts';
import { historiesWhere } from '../../../sequence/lives.ts';
import type { Sequence } from '../../../sequence/lives.ts';
import { orderOrAdd } from '../../support/mending.ts';
import { alsoAt, someOf, told, unmetGroups } from '../../support/needs.ts';
import { traceAt, named, ofConnectors } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const circuitEmpty: FindingRule = {
  id: 'circuit-empty',
  title: say`A circuit emptied and not filled again`,
  severity: 'error',
  page: () => ({
    means: say`Coolant is drained, and it is not certain to be filled again before the vehicle is powered, moved or handed over; or refrigerant is recovered, and it is not certain to be filled again before the handing over.`,
    why: say`Without its cooling the traction battery or the inverter overheats within minutes, and a compressor that runs empty is destroyed.`,
    whatToDo: say`Add the filling after the lines are closed, with the vehicle maker's quantity and bleeding procedure.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op10, do: drain-coolant }
  - { id: op90, do: power-up }
`,
      right: `operations:
  - { id: op10, do: drain-coolant }
  - { id: op60, do: fill-coolant }
  - { id: op90, do: power-up }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check(subject) {
    const { plan, sequence } = subject;
    const { gates } = sequence;
    const deliveries = gates.filter(({ taskId }) => taskId === 'deliver');
    for (const { fact, drain, fill, medium } of circuits) {
      if (plan.operationsDoing(drain).length === 0) continue;
      const uses = medium === 'coolant' ? gates : deliveries;
      const dry = new Set<Operation>();
      for (const { culprit, steps, first, others } of told(
        subject,
        'circuit-empty',
        unmetGroups(plan, fact, uses),
      )) {
        for (const step of steps) dry.add(step);
        yield {
          at: first.span,
          operation: first.id,
          message:
            medium === 'coolant'
              ? say`${named(first)} comes, and the coolant is not certain to be filled again: a battery or an inverter without cooling overheats. Fill the coolant before ${first.id}, as the vehicle maker specifies.`
              : say`${named(first)} comes, and the refrigerant is not certain to be filled again: an empty compressor is destroyed, and the battery may lose its cooling. Fill the refrigerant before ${first.id}, as the vehicle maker specifies.`,
          trace: [
            ...(culprit ? [traceAt(culprit, say`${named(culprit)}: empty from here`)] : []),
            ...alsoAt(others),
          ],
          fixes: () => [
            orderOrAdd(
              plan,
              first,
              fill,
              medium === 'coolant'
                ? say`Fill the coolant before ${first.planStep.id}`
                : say`Fill the refrigerant before ${first.planStep.id}`,
            ),
          ],
        };
      }
      // One circuit may be filled and another not.
      for (const [first, { ids, culprit }] of emptyLines(plan, sequence, medium, uses, dry)) {
        yield {
          at: first.span,
          operation: first.id,
          ...ofConnectors(ids),
          message: say`${named(first)} comes, and the circuit of ${someOf(ids)} is not certain to be filled again: a part without cooling overheats. Fill that circuit before ${first.id}, and name ${someOf(ids)} in that step.`,
          trace: culprit ? [traceAt(culprit, say`${named(culprit)}: empty from here`)] : [],
        };
      }
    }
  },
};

const circuits: readonly {
  readonly fact: VehicleFact;
  readonly drain: string;
  readonly fill: string;
  readonly medium: 'coolant' | 'refrigerant';
}[] = [
  { fact: 'coolant-in', drain: 'drain-coolant', fill: 'fill-coolant', medium: 'coolant' },
  { fact: 'refrigerant-in', drain: 'recover-refrigerant', fill: 'fill-refrigerant', medium: 'refrigerant' },
];

const lines = historiesWhere(({ connector, unsure }) => !unsure && connector.class === 'fluid-line');

/** Lines whose own circuit is not certain to be filled, by the first use that finds it so. */
function emptyLines(
  plan: Plan,
  sequence: Sequence,
  medium: string,
  uses: readonly Operation[],
  dry: ReadonlySet<Operation>,
): ReadonlyMap<Operation, { ids: string[]; culprit: Operation | undefined }> {
  const found = new Map<Operation, { ids: string[]; culprit: Operation | undefined }>();
  const unfilled = mapDefined(lines(plan), (life) => {
    if (life.connector.medium !== medium) return undefined;
    const [first] = new ConnectorFacts(plan, sequence, life).unmetAt('filled', uses);
    return first && !dry.has(first.step) ? { id: life.connector.id, ...first } : undefined;
  });
  for (const { id, step, verdict } of unfilled) {
    const known = found.get(step);
    if (known) known.ids.push(id);
    else found.set(step, { ids: [id], culprit: verdict.culprit });
  }
  return found;
}
