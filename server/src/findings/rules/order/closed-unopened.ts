import { joinWays, stepsToJoin } from '../../support/placing.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { traceAt, spanOfMention, named } from '../../support/words.ts';

export const closedUnopened: FindingRule = {
  id: 'closed-unopened',
  title: say`Closed, but nothing has opened it`,
  severity: 'error',
  means: say`A step closes a connector that no earlier step of the plan has opened since it was last closed.`,
  why: say`The step that opens it is missing, and with it its cover and its labour line; or the step means another connector, which then stays open.`,
  whatToDo: say`Write the step that opens it, or name the connector that is meant.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
  example: {
    wrong: `operations:
  - { id: op50, do: inspect, connectors: [inverter-dc] }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
`,
    right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op50, do: inspect, connectors: [inverter-dc] }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
`,
  },
  *check({ plan, sequence, lives }) {
    for (const { connector, operations, events, unsure, unclear } of lives) {
      if (unsure || unclear) continue;
      let open = false;
      let closed: (typeof events)[number] | undefined;
      for (const event of events) {
        const { act, operation } = event;
        if (act === 'disconnect') open = true;
        if (act !== 'reconnect') continue;
        if (!open) {
          yield {
            at: spanOfMention(operation, connector.id),
            operation: operation.id,
            connector: connector.id,
            message: closed
              ? say`${named(operation)} closes ${connector.id}, which ${named(closed.operation)} has already closed. Remove one of them, or add the opening in between.`
              : say`${named(operation)} closes ${connector.id}, but no step opens it. Add the step that opens it, or name the connector that is meant.`,
            trace: closed
              ? [traceAt(closed.operation, say`${closed.operation.id}: ${connector.id} is closed here first`)]
              : [],
            // With the others that are closed with it: where else it is opened, nobody can know.
            fixes: () => {
              const { order } = sequence;
              const first = operations.filter((one) => order.before(one, operation));
              const opening = stepsToJoin(
                plan,
                'disconnect',
                [connector.id],
                (one) => order.before(one, operation) && first.every((other) => order.before(one, other)),
              );
              // Whether it is opened there, or another connector was meant, only the author knows.
              return joinWays(plan, opening, [connector.id]).map((way) => way && { ...way, choice: true });
            },
          };
        }
        open = false;
        closed = event;
      }
    }
  },
};
