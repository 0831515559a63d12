import { joinWays, stepsToJoin } from '../../support/placing.ts';
import { say } from '../../../language/phrase.ts';
import { mayCarryHighVoltage } from '../../../plan/high-voltage.ts';
import type { Plan } from '../../../plan/plan.ts';
import { windowsOf } from '../../../sequence/facts/exposure.ts';
import type { ConnectorHistory } from '../../../sequence/life.ts';
import type { FindingReport, FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { traceAt, spanOfMention, named } from '../../support/words.ts';

export const closedUnopened: FindingRule = {
  id: 'closed-unopened',
  title: say`Closed, but nothing has opened it`,
  severity: 'error',
  page: () => ({
    means: say`A step closes a connector that no earlier step of the plan has opened since it was last closed. Or a step takes off a cover that nothing has put on (a warning).`,
    why: say`The step that opens it is missing, and with it its cover and its labour line; or the step means another connector, which then stays open.`,
    whatToDo: say`Write the step that opens it, or name the connector that is meant.`,
    source: commonPractice,
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
  }),
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
  *check({ plan, sequence, lives }) {
    for (const life of lives) {
      const { connector, operations, events, unsure, unclear } = life;
      if (unsure || unclear) continue;
      yield* uncoveredUnused(plan, life);
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

/** A cover comes off that nothing has put on, and neither dirt nor a hand at high voltage tells of the bare halves. */
function* uncoveredUnused(plan: Plan, life: ConnectorHistory): Generator<FindingReport> {
  const { connector, events } = life;
  const first = events.find(({ act }) => act === 'cover' || act === 'uncover');
  if (first?.act !== 'uncover' || mayCarryHighVoltage(plan, connector)) return;
  const opened = events.find(({ act }) => act === 'disconnect');
  // What stands open from before the plan may have come in covered.
  if (!opened || events.indexOf(opened) > events.indexOf(first)) return;
  if (windowsOf(plan, life).some(({ hazards }) => hazards.length > 0)) return;
  const { operation } = first;
  yield {
    at: spanOfMention(operation, connector.id),
    operation: operation.id,
    connector: connector.id,
    severity: 'warning',
    message: say`${named(operation)} takes a cover off ${connector.id}, but no step puts one on: it stands open and bare. Add the cover right after ${opened.operation.id}, or name the connector that is meant.`,
    trace: [traceAt(opened.operation, say`${opened.operation.id}: ${connector.id} is opened here`)],
  };
}
