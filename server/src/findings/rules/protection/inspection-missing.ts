import { say } from '../../../language/phrase.ts';
import { classRules } from '../../../plan/tables/classes.ts';
import type { Finding } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { fix, insertBefore, stepOn } from '../../support/mending.ts';
import { at, mention, named } from '../../support/words.ts';

export const inspectionMissing: Finding = {
  id: 'inspection-missing',
  title: say`Closed without a look at the contacts`,
  severity: 'error',
  means: say`A connector is closed without having been inspected (an earth connection: cleaned) since it was last opened or uncovered.`,
  why: say`A bent pin, a lost seal or a trace of dust is seen for the last time before the halves go together. After that it is only measured, or felt as heat.`,
  todo: say`Inspect both halves after uncovering and before reconnecting; clean an earth connection to bare metal.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
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
  *check({ plan, sequence, lives }) {
    const { order } = sequence;
    for (const { connector, events, operations, unsure, unclear } of lives) {
      if (unsure || unclear || !connector.class) continue;
      const rule = classRules[connector.class];
      for (const [i, { act, operation: closing }] of events.entries()) {
        if (act !== 'reconnect') continue;
        const opened = events
          .slice(0, i)
          .findLast((event) => event.act === 'uncover' || event.act === 'disconnect');
        if (!opened) continue;
        for (const task of rule.beforeClosing) {
          const found = operations.some(
            (one) => one.taskId === task && order.before(opened.operation, one) && order.before(one, closing),
          );
          if (found) continue;
          yield {
            at: mention(closing, connector.id),
            operation: closing.id,
            connector: connector.id,
            severity: rule.grave ? 'error' : 'warning',
            message:
              task === 'clean'
                ? say`${named(closing)} closes ${connector.id} (${rule.words}), and nobody has cleaned it since ${opened.operation.id}. Clean it to bare metal before closing it.`
                : say`${named(closing)} closes ${connector.id} (${rule.words}), and nobody has inspected it since ${opened.operation.id}. Look at both halves for damage, dirt and seals before closing it.`,
            trace: [
              at(
                opened.operation,
                opened.act === 'uncover'
                  ? say`${opened.operation.id}: ${connector.id} is last uncovered here`
                  : say`${opened.operation.id}: ${connector.id} is last opened here`,
              ),
            ],
            fixes: () => [
              fix(
                task === 'clean'
                  ? say`Clean ${connector.id} before ${closing.planStep.id}`
                  : say`Inspect ${connector.id} before ${closing.planStep.id}`,
                insertBefore(plan, closing.planStep, [stepOn(task, connector.id)]),
              ),
            ],
          };
        }
      }
    }
  },
};
