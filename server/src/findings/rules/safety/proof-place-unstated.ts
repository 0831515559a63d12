import { say } from '../../../language/phrase.ts';
import { mayHaveHighVoltage } from '../../../plan/high-voltage.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Plan } from '../../../plan/plan.ts';
import { readText } from '../../../plan/read.ts';
import { provenElsewhere } from '../../../plan/tables/own-names.ts';
import { alsoAt, andAt, toldApart } from '../../support/needs.ts';
import { named, valueSpan } from '../../support/words.ts';
import type { FindingReport, FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const proofPlaceUnstated: FindingRule = {
  id: 'proof-place-unstated',
  title: say`Proven dead, and nobody says where, or at the wrong place`,
  severity: 'information',
  page: () => ({
    means: say`A step proves the high-voltage system dead, and does not name the place where the voltage is measured; or it names one of the 12 V or the 48 V net, and none with high voltage (an error).`,
    why: say`A proof holds for the place where it is measured. Behind an open contactor or a blown fuse another place may still be live, and a 12 V battery says nothing of it.`,
    whatToDo: say`Name the measuring points as the vehicle maker names them (\`proven-at\`); the job card prints them.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op16, do: prove-dead, meter-proven: before-and-after }
`,
      right: `operations:
  - { id: op16, do: prove-dead, meter-proven: before-and-after, proven-at: inverter input }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check({ plan, sequence, isActive: counts }) {
    if (!mayHaveHighVoltage(plan)) return;
    yield* atLowVoltage(plan);
    const steps = plan
      .operationsDoing('prove-dead')
      .filter(({ step }) => step.node.entry('proven-at') === undefined)
      .sort((a, b) => sequence.order.compare(a, b));
    if (steps.length === 0) return;
    const isAccepted = ({ id }: Operation): boolean => !counts('proof-place-unstated', { operation: id });
    for (const { first, others } of toldApart([{ steps }], isAccepted)) {
      yield {
        at: first.span,
        operation: first.id,
        message: say`${named(first)} does not say where the voltage is measured, and another place may still be live. Name the measuring points as \`proven-at\`, as the vehicle maker specifies.`,
        ...andAt(others),
        trace: alsoAt(others),
      };
    }
  },
};

/** Proofs at a place that carries no high voltage, by its name. */
function* atLowVoltage(plan: Plan): Generator<FindingReport> {
  for (const operation of plan.operationsDoing('prove-dead')) {
    const { step, bindings } = operation;
    const place = readText(step.node.get('proven-at'), bindings);
    if (!place || !provenElsewhere(place.value)) continue;
    yield {
      at: valueSpan(plan, operation, place),
      operation: operation.id,
      severity: 'error',
      message: say`${named(operation)} measures at "${place.value}", where no high voltage is: nothing is proven of the high-voltage system, which may be live. Measure at the points that the vehicle maker names for it, and write them as \`proven-at\`.`,
    };
  }
}
