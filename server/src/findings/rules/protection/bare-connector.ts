import { say } from '../../../language/phrase.ts';
import { windowsOf } from '../../../sequence/facts/exposure.ts';
import type { Window } from '../../../sequence/facts/exposure.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import type { Plan } from '../../../plan/plan.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Connector } from '../../../plan/scope.ts';
import { bothHalves } from '../../../plan/steps.ts';
import type { ConnectorHistory } from '../../../sequence/life.ts';
import { sequenceOf } from '../../../sequence/lives.ts';
import type { Edit } from '../../../text/span.ts';
import { bestCover, fix, inList, insertAfter, insertBefore, stepOn } from '../../support/mending.ts';
import { coverFor } from '../../support/covers.ts';
import { joinWays, stepsToJoin } from '../../support/placing.ts';
import {
  contactsOf,
  hazardsOf,
  hazardOperationNames,
  traceHazards,
  spanOfMention,
  named,
  traceOpening,
  metIn,
} from '../../support/words.ts';

export const bareConnector: FindingRule = {
  id: 'bare-connector',
  title: say`An opened connector is left bare`,
  severity: 'error',
  page: () => ({
    means: say`A connector is opened and nothing covers it, while a later or parallel step may produce dust, metal debris, overspray, water or sparks where it is. The end of the shift counts as such a step.`,
    why: say`Dirt on a contact raises its resistance. On a power connector an extra fraction of a milliohm becomes a heater inside a closed body cavity; on a signal connector it is a fault that comes and goes.`,
    whatToDo: say`Cover both halves right after opening, with the vehicle maker's dummy plug where there is one.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op40, do: grind, zone: rear-floor }
  - { id: op50, do: inspect, connectors: [inverter-dc] }
  - { id: op55, do: clean, connectors: [inverter-dc] }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: cover, connectors: [inverter-dc], halves: both, using: dummy-plug }
  - { id: op40, do: grind, zone: rear-floor }
  - { id: op45, do: uncover, connectors: [inverter-dc] }
  - { id: op50, do: inspect, connectors: [inverter-dc] }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
  *check({ plan, lives }) {
    for (const life of lives) {
      const { connector, unsure } = life;
      if (unsure) continue;
      const windows = windowsOf(plan, life);
      for (const window of windows) {
        const { opened, closed, hazards } = window;
        if (opened.act !== 'disconnect' || closed?.act === 'cover' || hazards.length === 0) continue;
        const otherCovered = windows.some(
          (other) => other.opened === opened && other.closed?.act === 'cover',
        );
        if (otherCovered) continue;
        const { operation } = opened;
        yield {
          at: spanOfMention(operation, connector.id),
          operation: operation.id,
          connector: connector.id,
          ...metIn(window),
          message: say`${connector.id} is opened by ${named(operation)} and not covered; ${hazardOperationNames(hazards)} may put ${hazardsOf(window)} on ${contactsOf(connector)}. Cover both halves right after opening.`,
          trace: [traceOpening(operation, connector), ...traceHazards(window, connector)],
          fixes: () => [
            [
              ...joinWays(plan, coversToJoin(plan, connector, window), [connector.id]),
              // What the plan covers others with may be too weak.
              ...[coverFor, bestCover].map((choose) =>
                fix(
                  say`Cover ${connector.id} right after ${operation.planStep.id}`,
                  protect(plan, life, window, choose(plan, connector, isWet(window))),
                ),
              ),
            ],
          ],
        };
      }
    }
  },
};

/** Steps that cover others opened with it, with what this connector is covered with as well. */
function coversToJoin(plan: Plan, connector: Connector, window: Window): readonly Operation[] {
  const { order } = sequenceOf(plan);
  const using = coverFor(plan, connector, isWet(window)) ?? [];
  const inTime = (one: Operation): boolean =>
    order.before(window.opened.operation, one) &&
    window.hazards.every(({ operation }) => !order.before(operation, one)) &&
    one.halves.length === bothHalves.length &&
    one.connectors.every(
      ({ value }) => plan.scope.connectors.get(value)?.makerCover === connector.makerCover,
    ) &&
    one.using.map(({ value }) => value).join(' ') === using.join(' ');
  return stepsToJoin(plan, 'cover', [connector.id], inTime);
}

const isWet = ({ hazards }: Window): boolean =>
  hazards.some(({ raises }) => raises.includes('moisture') || raises.includes('overspray'));

/** The owed cover right after the opening and, where the plan closes the connector, the uncovering before that. */
function protect(
  plan: Plan,
  life: ConnectorHistory,
  window: Window,
  using: readonly string[] | undefined,
): readonly Edit[] {
  const { opened, closed, hazards } = window;
  const { connector } = life;
  const { order } = sequenceOf(plan);
  const cover = stepOn('cover', connector.id, [
    ['halves', 'both'],
    ...(using ? ([['using', inList(using)]] as const) : []),
  ]);
  const threats = hazards.map(({ operation }) => operation.planStep);
  const edits = insertAfter(plan, opened.operation.planStep, [cover], threats);
  const uncovered = life.events.some(
    ({ act, operation }) =>
      act === 'uncover' &&
      order.before(opened.operation, operation) &&
      closed &&
      order.before(operation, closed.operation),
  );
  if (!closed || uncovered) return edits;
  // It is uncovered for the first thing done to the open contact after which no threat comes.
  const first = life.operations.find(
    (one) =>
      (one.taskId === 'inspect' || one.taskId === 'clean' || one.taskId === 'reconnect') &&
      order.before(opened.operation, one) &&
      hazards.every(({ operation }) => !order.before(one, operation)),
  );
  if (!first) return edits;
  return [...edits, ...insertBefore(plan, first.planStep, [stepOn('uncover', connector.id)], threats)];
}
