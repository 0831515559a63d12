import { ConnectorFacts } from '../../../sequence/facts/timeline.ts';
import { traceAt, spanOfMention, named } from '../../support/words.ts';
import { fix, insertBefore, waitFor } from '../../support/mending.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const lineFull: FindingRule = {
  id: 'line-full',
  title: say`A fluid line opened on a full circuit`,
  severity: 'error',
  means: say`A line of coolant or refrigerant is opened, and neither is its circuit certain to be emptied, nor does anybody state how the line is shut off. For a line whose medium nobody states it is a warning.`,
  why: say`Refrigerant under pressure freezes skin and eyes and must not escape; coolant on a high-voltage connector is a short circuit in waiting.`,
  whatToDo: say`Recover the refrigerant or drain the coolant first, or state \`shut-off: clamped\` or \`self-sealing\`. State the \`medium\` of the line.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
  example: {
    wrong: `connectors:
  - { id: condenser-hose, class: fluid-line, zone: motor-bay, medium: refrigerant }
operations:
  - { id: op20, do: disconnect, connectors: [condenser-hose] }
`,
    right: `connectors:
  - { id: condenser-hose, class: fluid-line, zone: motor-bay, medium: refrigerant }
operations:
  - { id: op10, do: recover-refrigerant }
  - { id: op20, do: disconnect, connectors: [condenser-hose] }
`,
  },
  *check({ plan, sequence, lives }) {
    for (const life of lives) {
      const { connector, events, unsure } = life;
      const { medium } = connector;
      if (unsure || connector.class !== 'fluid-line' || medium === 'other') continue;
      if (connector.shutOff !== undefined && medium !== 'refrigerant') continue;
      const facts = new ConnectorFacts(plan, sequence, life);
      for (const { act, operation } of events) {
        if (act !== 'disconnect') continue;
        const found = facts.verdict('line-empty', operation);
        if (found.met) continue;
        const task = medium === 'refrigerant' ? 'recover-refrigerant' : 'drain-coolant';
        const ready = found.candidates.find((one) => !sequence.order.before(operation, one));
        yield {
          at: spanOfMention(operation, connector.id),
          operation: operation.id,
          connector: connector.id,
          severity: medium ? 'error' : 'warning',
          message:
            medium === 'refrigerant'
              ? say`${named(operation)} opens ${connector.id}, and the refrigerant is not certain to be recovered: under pressure it freezes skin and eyes. Have a certified person recover the refrigerant before ${operation.id}.`
              : medium === 'coolant'
                ? say`${named(operation)} opens ${connector.id}, and the coolant is not certain to be drained: on a high-voltage connector it is a short circuit in waiting. Drain the coolant before ${operation.id}, or state \`shut-off\` of the line.`
                : say`${named(operation)} opens ${connector.id}, and nobody states what the line carries or that it is empty. State its \`medium\`, and empty or shut off the line before ${operation.id}.`,
          trace: found.culprit
            ? [traceAt(found.culprit, say`${named(found.culprit)}: the line is full again from here`)]
            : [],
          fixes: () => [
            [
              ready &&
                fix(say`Do ${operation.planStep.id} only after ${ready.planStep.id}`, [
                  waitFor(plan, operation.planStep, [ready.planStep.id]),
                ]),
              medium === undefined
                ? undefined
                : fix(
                    medium === 'refrigerant'
                      ? say`Recover the refrigerant before ${operation.planStep.id}`
                      : say`Drain the coolant before ${operation.planStep.id}`,
                    insertBefore(plan, operation.planStep, [{ task, fields: [], by: 'nobody' }]),
                  ),
            ],
          ],
        };
        break;
      }
    }
  },
};
