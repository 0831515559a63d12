import { ConnectorFacts } from '../../../sequence/facts/timeline.ts';
import type { Operation } from '../../../plan/operations.ts';
import { joinWays, looseWays, stepsToJoin } from '../../support/placing.ts';
import { say } from '../../../language/phrase.ts';
import { classRules } from '../../../plan/tables/classes.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { fix, insertBefore, stepOn } from '../../support/mending.ts';
import { traceAt, spanOfMention, named } from '../../support/words.ts';

export const inspectionMissing: FindingRule = {
  id: 'inspection-missing',
  title: say`Closed without a look at the contacts`,
  severity: 'error',
  page: () => ({
    means: say`A connector is closed without having been inspected (an earth connection: cleaned) since it was last opened or uncovered.`,
    why: say`A bent pin, a lost seal or a trace of dust can be seen for the last time before the halves go together. After that only a measurement or heat shows it.`,
    whatToDo: say`Inspect both halves after uncovering and before reconnecting; clean an earth connection to bare metal.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op70, do: reconnect, connectors: [inverter-dc] }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op60, do: inspect, connectors: [inverter-dc] }
  - { id: op70, do: reconnect, connectors: [inverter-dc] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
  *check({ plan, sequence, lives }) {
    for (const life of lives) {
      const { connector, events, unsure } = life;
      if (unsure || !connector.class) continue;
      const rule = classRules[connector.class];
      const facts = new ConnectorFacts(plan, sequence, life);
      for (const { act, operation: closing } of events) {
        if (act !== 'reconnect') continue;
        // What stood in water is cleaned, whatever its class.
        const wet = plan.vehicle?.arrivedAs.includes('wet') === true && !rule.beforeClosing.includes('clean');
        for (const task of wet ? [...rule.beforeClosing, 'clean'] : rule.beforeClosing) {
          const fact = task === 'clean' ? 'cleaned' : 'inspected';
          // A row may say that its task does it before it closes.
          if (closing.task!.makes.includes(fact)) continue;
          const found = facts.verdict(fact, closing);
          const opened = !found.met && events.find(({ operation }) => operation === found.culprit);
          if (!opened) continue;
          yield {
            at: spanOfMention(closing, connector.id),
            operation: closing.id,
            connector: connector.id,
            severity: rule.grave ? 'error' : 'warning',
            message:
              task === 'clean' && wet
                ? say`${named(closing)} closes ${connector.id}, which stood in water, and no step cleans ${connector.id} after ${opened.operation.id}. Clean and dry both halves before ${closing.id}, as the vehicle maker specifies.`
                : task === 'clean'
                  ? say`${named(closing)} closes ${connector.id} (${rule.words}), and nobody has cleaned it since ${opened.operation.id}. Clean it to bare metal before closing it.`
                  : say`${named(closing)} closes ${connector.id} (${rule.words}), and nobody has inspected it since ${opened.operation.id}. Look at both halves for damage, dirt and seals before closing it.`,
            trace: [
              traceAt(
                opened.operation,
                opened.act === 'uncover'
                  ? say`${opened.operation.id}: ${connector.id} is last uncovered here`
                  : say`${opened.operation.id}: ${connector.id} is last opened here`,
              ),
            ],
            fixes: () => {
              const { order } = sequence;
              const inTime = (one: Operation): boolean =>
                order.before(opened.operation, one) && order.before(one, closing);
              // What is cleaned is looked at afterwards.
              const look =
                task === 'clean'
                  ? life.operations.find((one) => one.taskId === 'inspect' && inTime(one))
                  : undefined;
              return [
                [
                  ...looseWays(plan, closing, found.met ? [] : found.candidates),
                  ...joinWays(plan, stepsToJoin(plan, task, [connector.id], inTime), [connector.id]),
                  look &&
                    fix(
                      say`Clean ${connector.id} before ${look.planStep.id}`,
                      insertBefore(plan, look.planStep, [stepOn(task, connector.id)]),
                    ),
                  fix(
                    task === 'clean'
                      ? say`Clean ${connector.id} before ${closing.planStep.id}`
                      : say`Inspect ${connector.id} before ${closing.planStep.id}`,
                    insertBefore(plan, closing.planStep, [stepOn(task, connector.id)]),
                  ),
                ],
              ];
            },
          };
        }
      }
    }
  },
};
