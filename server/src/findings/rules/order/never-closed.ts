import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { closingSteps } from '../../support/closing.ts';
import { fix, insertAfter } from '../../support/mending.ts';
import { spanOfMention, named, traceOpening } from '../../support/words.ts';

export const neverClosed: FindingRule = {
  id: 'never-closed',
  title: say`Opened, but never closed in this plan`,
  severity: 'warning',
  page: () => ({
    means: say`A connector is opened and the plan ends with it open: nothing closes it, and nothing powers, moves or hands over the vehicle after that.`,
    why: say`Whoever takes over the vehicle finds an open connector that no plan mentions any more.`,
    whatToDo: say`Write the closing into this plan, or say in an \`accepted\` line which plan closes it.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op50, do: inspect, connectors: [inverter-dc] }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
  *check({ plan, sequence, lives }) {
    const { order, gates } = sequence;
    for (const { connector, events, operations, unsure, unclear } of lives) {
      if (unsure || unclear) continue;
      const last = events.findLastIndex(({ act }) => act === 'disconnect');
      if (last < 0 || events.slice(last).some(({ act }) => act === 'reconnect')) continue;
      const open = events[last]!.operation;
      // If a gate follows, the open connector is reported at the gate.
      if (gates.some((operation) => !order.before(operation, open))) continue;
      yield {
        at: spanOfMention(open, connector.id),
        operation: open.id,
        connector: connector.id,
        message: say`${connector.id} is opened by ${named(open)}, and this plan never closes it. Add the step that closes it, or accept this finding and name the plan that does.`,
        trace: [traceOpening(open, connector)],
        fixes: () => {
          const later = operations.filter((operation) => order.before(open, operation));
          // What was looked at before it was covered is looked at again.
          const tasks = later.map(({ taskId }) => taskId).filter((task) => !looks.has(task));
          const end = plan.steps.at(-1)!;
          return [
            fix(
              say`Reconnect ${connector.id} at the end`,
              insertAfter(plan, end, closingSteps(plan, connector, tasks), []),
            ),
          ];
        },
      };
    }
  },
};

const looks: ReadonlySet<string> = new Set(['inspect', 'clean']);
