import { ConnectorFacts } from '../../../sequence/facts/timeline.ts';
import type { Operation } from '../../../plan/operations.ts';
import { joinWays, stepsToJoin } from '../../support/placing.ts';
import { say } from '../../../language/phrase.ts';
import { isReportedElsewhere } from '../../support/exposure.ts';
import { windowsOf } from '../../../sequence/facts/exposure.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { fix, insertBefore, stepOn } from '../../support/mending.ts';
import {
  hazardsOf,
  hazardOperationNames,
  traceHazards,
  spanOfMention,
  named,
  traceOpening,
  metIn,
} from '../../support/words.ts';

export const exposed: FindingRule = {
  id: 'exposed',
  title: say`Exposed to dirt and closed without cleaning`,
  severity: 'error',
  page: () => ({
    means: say`The shop accepts that a connector is bare while dirt may reach it (the finding is accepted in the plan, or switched off in the rate sheet), but nothing cleans the connector before it is closed.`,
    why: say`Accepting the exposure does not take the dirt off. What may have met a bare contact is still there when the connector is closed.`,
    whatToDo: say`Clean the contacts as the vehicle maker specifies, after the last dirty step and before reconnecting, then inspect them.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op40, do: grind, zone: rear-floor }
  - { id: op50, do: inspect, connectors: [inverter-dc] }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
accepted:
  - { finding: bare-connector, at: inverter-dc, reason: No room for a plug., by: Lead technician, until: 2999-01-01 }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op40, do: grind, zone: rear-floor }
  - { id: op45, do: clean, connectors: [inverter-dc] }
  - { id: op50, do: inspect, connectors: [inverter-dc] }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
accepted:
  - { finding: bare-connector, at: inverter-dc, reason: No room for a plug., by: Lead technician, until: 2999-01-01 }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
  *check({ plan, sequence, isActive: counts, lives }) {
    const { order } = sequence;
    for (const life of lives) {
      const { connector, operations, events, unsure } = life;
      if (unsure) continue;
      const windows = windowsOf(plan, life);
      const facts = new ConnectorFacts(plan, sequence, life);
      for (const window of windows) {
        const { opened, hazards } = window;
        if (hazards.length === 0) continue;
        const open = opened.operation;
        // If the exposure itself is reported, do not also report missing cleaning.
        if (isReportedElsewhere(window, windows, connector.id, counts)) continue;
        const closing = events.find(
          ({ act, operation }) => act === 'reconnect' && order.before(open, operation),
        )?.operation;
        if (!closing) continue;
        const cleaned = window.halves.every((half) => {
          const found = facts.verdict('clean', closing, half);
          return found.met || !hazards.some(({ operation }) => found.culprits.includes(operation));
        });
        if (cleaned) continue;
        yield {
          at: spanOfMention(closing, connector.id),
          operation: closing.id,
          connector: connector.id,
          ...metIn(window),
          message: say`${named(closing)} closes ${connector.id}, which ${hazardOperationNames(hazards)} may have soiled with ${hazardsOf(window)}, and nothing cleans it after that. Clean it as the vehicle maker specifies before ${closing.id}.`,
          trace: [traceOpening(open, connector), ...traceHazards(window, connector)],
          fixes: () => {
            const inspect = operations.find(
              (one) =>
                one.taskId === 'inspect' &&
                order.before(one, closing) &&
                hazards.every((hazard) => order.before(hazard.operation, one)),
            );
            const target = (inspect ?? closing).planStep;
            const threats = hazards.map((hazard) => hazard.operation.planStep);
            const steps = [
              stepOn('clean', connector.id),
              ...(inspect ? [] : [stepOn('inspect', connector.id)]),
            ];
            const inTime = (one: Operation): boolean =>
              order.before(one, inspect ?? closing) &&
              hazards.every((hazard) => order.before(hazard.operation, one));
            return [
              [
                ...joinWays(plan, stepsToJoin(plan, 'clean', [connector.id], inTime), [connector.id]),
                fix(
                  say`Clean ${connector.id} before ${target.id}`,
                  insertBefore(plan, target, steps, threats),
                ),
              ],
            ];
          },
        };
      }
    }
  },
};
