import { emptyList } from '../../../base/collections.ts';
import { bothHalves } from '../../../plan/steps.ts';
import type { Operation } from '../../../plan/operations.ts';
import { connectorFacts, effects, vehicleFacts } from '../../../plan/tables/effects.ts';
import type { ConnectorFact, FactId, HalfFact, VehicleFact } from '../../../plan/tables/effects.ts';
import { alsoNeeded } from '../../../plan/tables/needs.ts';
import type { StepVerdict } from '../../../sequence/facts/at-steps.ts';
import { ConnectorFacts, vehicleVerdict } from '../../../sequence/facts/timeline.ts';
import { traceAt, named } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule, Trace } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

export const needUnmet: FindingRule = {
  id: 'need-unmet',
  title: say`A need that the shop wrote is not met`,
  severity: 'error',
  page: () => ({
    means: say`A task of the shop's rate sheet says under \`needs\` what must be certain when it starts, and it is not.`,
    why: say`A need that the shop writes counts like a built-in one.`,
    whatToDo: say`Add the step that makes the fact, or make this step wait for it.`,
    source: say`The rate sheet, \`tasks:\`.`,
    example: {
      wrong: `operations:
  - { id: op40, do: blast, zone: front-left }
uses: [./example.rate-sheet.yaml, ./tasks.rate-sheet.yaml]
`,
      right: `operations:
  - { id: op10, do: battery-12v-off }
  - { id: op40, do: blast, zone: front-left }
uses: [./example.rate-sheet.yaml, ./tasks.rate-sheet.yaml]
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check({ plan, sequence }) {
    if (![...plan.scope.tasks.values()].some(({ needs }) => needs.length > 0)) return;
    for (const operation of plan.operations) {
      for (const fact of needed(operation)) {
        if ((vehicleFacts as readonly string[]).includes(fact)) {
          const found = vehicleVerdict(plan, fact as VehicleFact, operation);
          if (found.met) continue;
          yield {
            at: operation.span,
            operation: operation.id,
            message: say`${named(operation)} needs this, by the shop's own row, and it is not certain: ${effects[fact].holds}. Do what makes it certain before ${operation.id}.`,
            trace: culprits(found),
          };
          continue;
        }
        for (const { value } of operation.connectors) {
          const life = sequence.life(value);
          if (!life || life.unsure) continue;
          const facts = new ConnectorFacts(plan, sequence, life);
          const found = (connectorFacts as readonly string[]).includes(fact)
            ? facts.verdict(fact as ConnectorFact, operation)
            : bothHalves
                .map((half) => facts.verdict(fact as HalfFact, operation, half))
                .find(({ met }) => !met);
          if (!found || found.met) continue;
          yield {
            at: operation.span,
            operation: operation.id,
            connector: value,
            message: say`${named(operation)} needs this of ${value}, by the shop's own row, and it is not certain: ${effects[fact].holds}. Do what makes it certain before ${operation.id}.`,
            trace: culprits(found),
          };
        }
      }
    }
  },
};

/** What the row of a step's task asks for, and what that rests on. */
const needed = ({ task }: Operation): Iterable<FactId> =>
  new Set(task?.needs.flatMap((fact) => [fact, ...(alsoNeeded[fact] ?? emptyList)]));

/** A step that makes it together with others beside it ends nothing. */
const culprits = ({ culprit, candidates }: Extract<StepVerdict, { met: false }>): readonly Trace[] =>
  culprit && !candidates.includes(culprit)
    ? [traceAt(culprit, say`${named(culprit)}: no longer so from here`)]
    : [];
