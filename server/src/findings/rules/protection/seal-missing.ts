import { addIds } from '../../../document/edits.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { fix } from '../../support/mending.ts';
import { closings } from '../../../sequence/facts/use.ts';
import { traceAt, spanOfMention, named } from '../../support/words.ts';

export const sealMissing: FindingRule = {
  id: 'seal-missing',
  title: say`Closed without the new seal the vehicle maker requires`,
  severity: 'warning',
  page: () => ({
    means: say`The vehicle maker requires a new seal at every opening (\`new-seal: true\`), and no step between the opening and the closing uses a seal of the rate sheet.`,
    why: say`An old seal has taken the shape of its seat and no longer seals: water gets into a connector, coolant or refrigerant out of a line.`,
    whatToDo: say`Name the seal under \`using\` in the step that fits it. The same entry bills it.`,
    source: say`The connector list or the plan, by \`new-seal: true\`.`,
    example: {
      wrong: `connectors:
  - { id: coolant-line, class: fluid-line, zone: motor-bay, new-seal: true }
operations:
  - { id: op20, do: disconnect, connectors: [coolant-line] }
  - { id: op60, do: reconnect, connectors: [coolant-line] }
`,
      right: `connectors:
  - { id: coolant-line, class: fluid-line, zone: motor-bay, new-seal: true }
operations:
  - { id: op20, do: disconnect, connectors: [coolant-line] }
  - { id: op60, do: reconnect, connectors: [coolant-line], using: o-ring }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
  *check({ plan, sequence, lives }) {
    const { consumables } = plan.scope;
    const { order } = sequence;
    for (const life of lives) {
      const { connector, events, operations } = life;
      if (!connector.newSeal) continue;
      for (const { operation: closing } of closings(life)) {
        const opened = events.findLast(
          ({ act, operation }) => act === 'disconnect' && order.before(operation, closing),
        )?.operation;
        const between = operations.filter(
          (one) => one === closing || (order.before(one, closing) && (!opened || !order.before(one, opened))),
        );
        // What the sheet does not describe may be the seal.
        const sealed = between.some(({ using }) =>
          using.some(({ value }) => (consumables.get(value)?.kind ?? 'seal') === 'seal'),
        );
        if (sealed) continue;
        const seal = [...consumables.values()].find(
          ({ kind, fits }) => kind === 'seal' && (fits.length === 0 || fits.includes(connector.id)),
        );
        yield {
          at: spanOfMention(closing, connector.id),
          operation: closing.id,
          connector: connector.id,
          message: say`${named(closing)} closes ${connector.id} without the new seal that the vehicle maker requires at every opening. Name the seal under \`using\`${seal ? say`: the rate sheet has ${seal.id}` : ''}.`,
          trace: opened ? [traceAt(opened, say`${opened.id}: ${connector.id} is opened here`)] : [],
          fixes: () =>
            seal && closing.step === closing.planStep
              ? [
                  fix(say`Use ${seal.id} in ${closing.id}`, [
                    addIds(plan.document, closing.step.node, 'using', [seal.id]),
                  ]),
                ]
              : [],
        };
      }
    }
  },
};
