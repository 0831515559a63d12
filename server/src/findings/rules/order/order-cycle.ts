import { say } from '../../../language/phrase.ts';
import type { Step } from '../../../plan/steps.ts';
import { GraphOrder } from '../../../sequence/partial-order.ts';
import { traceAt } from '../../support/words.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

/** The steps of a cycle by their `after` alone: one through procedures without a readable step has no operations. */
function circleOfSteps(steps: readonly Step[]): readonly Step[] {
  const places = new Map(steps.map(({ id }, place) => [id, place]));
  const { cycle = [] } = new GraphOrder(
    steps.map(({ after }, place) =>
      (after?.map(({ value }) => places.get(value) ?? place - 1) ?? [place - 1]).filter((one) => one >= 0),
    ),
  );
  return cycle.map((place) => steps[place]!);
}

export const orderCycle: FindingRule = {
  id: 'order-cycle',
  title: say`Steps that wait for each other`,
  severity: 'error',
  page: () => ({
    means: say`Following \`after:\` from step to step leads back to the start, so none of these steps can ever begin.`,
    why: say`While the order is circular, nothing about it can be checked, and the shop floor will choose its own order.`,
    whatToDo: say`Take one of the steps out of an \`after:\` list.`,
    source: say`A partial order has no cycles (definition).`,
    example: {
      wrong: `operations:
  - { id: op20, do: cut, zone: quarter-left, after: [op30] }
  - { id: op30, do: grind, zone: quarter-left, after: [op20] }
`,
      right: `operations:
  - { id: op20, do: cut, zone: quarter-left }
  - { id: op30, do: grind, zone: quarter-left, after: [op20] }
`,
    },
  }),
  kinds: [...plansOnly, 'shop-procedure'],
  ground: 'text',
  *check({ plan, sequence }) {
    const { circle } = sequence.order;
    if (!circle) return;
    const ofOperations = [...new Set(circle.map(({ planStep }) => planStep))];
    const round = ofOperations.length > 0 ? ofOperations : circleOfSteps(plan.steps);
    // Reported at the cycle's first step in the text.
    const start = round.reduce(
      (best, step, i) => (plan.indexInList(step) < plan.indexInList(round[best]!) ? i : best),
      0,
    );
    const steps = [...round.slice(start), ...round.slice(0, start)];
    const first = steps[0];
    if (!first) return;
    const names = [...steps, first].map(({ id }) => id).join(' → ');
    yield {
      at: first.after?.find(({ value }) => steps.some(({ id }) => id === value))?.span ?? first.span,
      operation: first.id,
      message: say`These steps wait for each other, so none can start: ${names}. Take one of them out of an \`after:\` list.`,
      trace: plan.operations
        .filter((one) => circle.includes(one))
        .map((operation) => traceAt(operation, say`${operation.id} is part of the circle`)),
    };
  },
};
