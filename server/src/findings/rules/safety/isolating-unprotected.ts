import { glovedOnIsolating, needsDeadWhileOpen } from '../../../plan/tables/needs.ts';
import { ConnectorFacts, isVehicleFactMet } from '../../../sequence/facts/timeline.ts';
import { historiesWhere } from '../../../sequence/lives.ts';
import { spanOfMention, named } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const isolatingUnprotected: FindingRule = {
  id: 'isolating-unprotected',
  title: say`The service plug without gloves or without its procedure`,
  severity: 'error',
  means: say`A connector whose opening is the isolation (\`isolates: true\`) is opened, closed, or handled before the system is proven dead in a step without \`glove-class\`, or is opened or closed without a source of the vehicle maker's procedure.`,
  why: say`At that moment the system is live. What protects the hand are the gloves and the order that the vehicle maker specifies.`,
  whatToDo: say`Write the class of the gloves in the step, and the source of the connector.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'safety',
  example: {
    wrong: `connectors:
  - { id: service-plug, class: high-voltage-power, zone: rear-floor, isolates: true }
operations:
  - { id: op10, do: disconnect, connectors: [service-plug] }
`,
    right: `connectors:
  - { id: service-plug, class: high-voltage-power, zone: rear-floor, isolates: true, source: S1 }
sources:
  - { id: S1, title: Isolation of the Kestrel (invented), publisher: vehicle-maker, consulted: 2027-02-03 }
operations:
  - { id: op10, do: disconnect, connectors: [service-plug], glove-class: '0' }
`,
  },
  *check({ plan, sequence }) {
    for (const life of isolatorsOf(plan)) {
      const { connector } = life;
      const facts = new ConnectorFacts(plan, sequence, life);
      for (const operation of life.operations) {
        const { taskId } = operation;
        if (!glovedOnIsolating.has(taskId)) continue;
        // The look at a closed plug needs nothing.
        if (needsDeadWhileOpen.has(taskId) && facts.isMet('closed', operation)) continue;
        const handled = taskId === 'disconnect' || taskId === 'reconnect';
        if (!handled && isVehicleFactMet(plan, 'high-voltage-dead', operation)) continue;
        const gloves = operation.step.node.entry('glove-class') !== undefined;
        if (gloves && (connector.source !== undefined || !handled)) continue;
        yield {
          at: spanOfMention(operation, connector.id),
          operation: operation.id,
          connector: connector.id,
          severity: gloves ? 'warning' : 'error',
          message: gloves
            ? say`${named(operation)} isolates with ${connector.id}, and no source names the vehicle maker's procedure for it. Name it as \`source\` of ${connector.id}.`
            : say`${named(operation)} handles ${connector.id} while the high-voltage system is live, and names no insulating gloves. Write \`glove-class\` in ${operation.id}, and follow the vehicle maker's procedure.`,
        };
      }
    }
  },
};

const isolatorsOf = historiesWhere(({ connector, unsure }) => !unsure && connector.isolates);
