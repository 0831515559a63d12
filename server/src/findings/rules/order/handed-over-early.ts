import type { Operation } from '../../../plan/operations.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import type { Plan } from '../../../plan/plan.ts';
import { doneBeforeHandover, putsBack } from '../../../plan/tables/needs.ts';
import type { OperationOrder } from '../../../sequence/operation-order.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { onlyAfter } from '../../support/mending.ts';
import { isBesideUse } from '../../support/beside.ts';
import { andAt, told } from '../../support/needs.ts';
import { isOwnTask } from '../../support/tools.ts';
import { named, traceAt } from '../../support/words.ts';

export const handedOverEarly: FindingRule = {
  id: 'handed-over-early',
  title: say`Handed over before the work is done`,
  severity: 'warning',
  page: () => ({
    means: say`A step that opens, takes off, fits, cuts, joins, paints, empties, aligns or programs something, or one of the shop's own whose row says that it raises or ends something, comes after the handing over to the customer, or nothing makes the handing over wait for it. What is done after the vehicle is taken back is left out, and so is what \`powered-beside\` tells of a use of the vehicle before the handing over.`,
    why: say`All that must be closed, measured and tested is asked for before the handing over. What is done later is checked by nobody, and what is forgotten is on the road.`,
    whatToDo: say`Make the \`deliver\` step the last one: let it wait for all the work.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: remove, zone: doors }
  - { id: op80, do: refit, zone: doors }
  - { id: op85, do: align-wheels, after: [op20] }
  - { id: op90, do: deliver, after: [op80] }
`,
      right: `operations:
  - { id: op20, do: remove, zone: doors }
  - { id: op80, do: refit, zone: doors }
  - { id: op85, do: align-wheels, after: [op20] }
  - { id: op90, do: deliver, after: [op80, op85] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  needsEveryStep: true,
  *check(subject) {
    const { plan, sequence, isActive } = subject;
    const deliveries = plan.operationsDoing('deliver');
    if (deliveries.length === 0) return;
    const { order } = sequence;
    const [first] = [...deliveries].sort((a, b) => order.compare(a, b));
    const deliver = first!;
    const returns = plan.operationsDoing('take-back').filter((step) => order.before(deliver, step));
    const late = work(plan)
      .filter(
        (step) =>
          !deliveries.some((delivery) => order.before(step, delivery)) &&
          !returns.some((back) => order.before(back, step)),
      )
      .sort((a, b) => order.compare(a, b));
    // A use of the vehicle before the handing over that must wait for the work as well is told by itself, and mends both.
    const uses = sequence.gates.filter(
      (gate) => order.before(gate, deliver) && isActive('powered-beside', { operation: gate.id }),
    );
    const isTold = (step: Operation): boolean => uses.some((gate) => isBesideUse(order, gate, step));
    const isLater = (step: Operation): boolean => order.before(deliver, step);
    for (const steps of [
      late.filter((step) => isLater(step) && !putsBack.has(step.taskId)),
      late.filter((step) => !isLater(step) && !isTold(step)),
    ]) {
      const loose = steps.some(isLater) ? undefined : loosened(plan, order, deliver, steps);
      for (const { first: step, others } of told(subject, 'handed-over-early', [
        { culprit: deliver, steps },
      ])) {
        yield {
          at: step.span,
          operation: step.id,
          message: isLater(step)
            ? say`${named(step)} comes after ${named(deliver)}: nobody checks what is done then before the vehicle is on the road. Put ${step.planStep.id} before ${deliver.planStep.id}.`
            : loose
              ? say`Nothing makes ${named(deliver)} wait for ${named(step)}, as ${named(loose.step)} waits for no step (\`after: []\`): the vehicle may be on the road before that is done. Make ${loose.step.planStep.id} wait for ${loose.above.planStep.id}, or ${deliver.planStep.id} for all that is left out.`
              : say`Nothing makes ${named(deliver)} wait for ${named(step)}: the vehicle may be on the road before that is done. Make ${deliver.planStep.id} wait for it.`,
          ...andAt(others),
          trace: [
            ...(loose
              ? [
                  traceAt(
                    loose.step,
                    say`${named(loose.step)}: whatever waits for this may come before all steps above it`,
                  ),
                ]
              : []),
            traceAt(deliver, say`${named(deliver)} happens here`),
            ...others.map((other) => traceAt(other, say`${named(other)} comes as late`)),
          ],
          fixes: () =>
            isLater(step)
              ? []
              : [
                  loose && onlyAfter(plan, loose.step, loose.above),
                  onlyAfter(plan, deliver, step, ...others),
                ],
        };
      }
    }
  },
};

/** The step with `after: []` for which all these are left out: if it waited for the step above it, the handing over would wait for all. */
function loosened(
  plan: Plan,
  order: OperationOrder,
  deliver: Operation,
  late: readonly Operation[],
): { readonly step: Operation; readonly above: Operation } | undefined {
  for (const [i, step] of plan.steps.entries()) {
    const aboveStep = plan.steps[i - 1];
    if (!aboveStep || step.after?.length !== 0 || step === deliver.planStep) continue;
    const [first, ...more] = plan.operationsOf(step);
    const above = plan.operationsOf(aboveStep);
    const last = above.at(-1);
    if (!first || !last || ![first, ...more].every((one) => order.before(one, deliver))) continue;
    if (late.every((one) => above.includes(one) || above.some((other) => order.before(one, other))))
      return { step: first, above: last };
  }
  return undefined;
}

/** Steps that have no place after the handing over. */
const work = operationsWhere(
  (operation) =>
    doneBeforeHandover.has(operation.taskId) ||
    (isOwnTask(operation) && operation.task!.raises.length + operation.task!.ends.length > 0),
);
