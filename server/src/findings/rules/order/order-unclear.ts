import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { onlyAfter, waitsWith } from '../../support/mending.ts';
import { traceAt, spanOfMention, named } from '../../support/words.ts';

export const orderUnclear: FindingRule = {
  id: 'order-unclear',
  title: say`Two steps on one connector without an order`,
  severity: 'error',
  page: () => ({
    means: say`Two steps open, cover, uncover or close the same half of a connector, and nothing says which comes first.`,
    why: say`Two people may do them in either order: a cover may be put on before the connector is opened, or a connector closed over its cover.`,
    whatToDo: say`Say the order with \`after:\`.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op10, do: remove, zone: quarter-left }
  - { id: op20, do: disconnect, connectors: [inverter-dc], after: [op10] }
  - { id: op30, do: cover, connectors: [inverter-dc], using: dummy-plug, after: [op10] }
`,
      right: `operations:
  - { id: op10, do: remove, zone: quarter-left }
  - { id: op20, do: disconnect, connectors: [inverter-dc], after: [op10] }
  - { id: op30, do: cover, connectors: [inverter-dc], using: dummy-plug, after: [op20] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
  *check({ plan, sequence, lives }) {
    for (const { connector, unclear, unsure } of lives) {
      if (!unclear || unsure) continue;
      // Assume that text order is the intended order.
      const [first, second] = [unclear[0].operation, unclear[1].operation].sort((a, b) =>
        sequence.order.compareInText(a, b),
      ) as [(typeof unclear)[0]['operation'], (typeof unclear)[1]['operation']];
      const waits =
        first.planStep === second.planStep
          ? [first.step.id]
          : waitsWith(plan, second.planStep, [first.planStep.id]);
      yield {
        at: spanOfMention(second, connector.id),
        operation: second.id,
        connector: connector.id,
        message: say`Nothing says which comes first for ${connector.id}: ${named(first)} or ${named(second)}. Say it in ${first.planStep === second.planStep ? second.id : second.planStep.id} with \`after: [${waits.join(', ')}]\`.`,
        trace: [
          traceAt(first, say`${named(first)} handles ${connector.id} here`),
          traceAt(second, say`${named(second)} handles ${connector.id} here`),
        ],
        fixes: () => (first.planStep === second.planStep ? [] : [onlyAfter(plan, second, first)]),
      };
    }
  },
};
