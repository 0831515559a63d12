import { andList, say } from '../../../language/phrase.ts';
import { windowsOf } from '../../../sequence/facts/exposure.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { fix, moveStep, putAfter, stepBefore, waitFor } from '../../support/mending.ts';
import {
  traceAt,
  hazardsOf,
  hazardOperationNames,
  traceHazards,
  spanOfMention,
  named,
  metIn,
} from '../../support/words.ts';

export const earlyUncover: FindingRule = {
  id: 'early-uncover',
  title: say`Uncovered while dirty work may still run`,
  severity: 'error',
  page: () => ({
    means: say`A cover is taken off, and before the connector is closed again a step may still produce dust, debris, overspray, water or sparks where it is.`,
    why: say`The last sanding or polishing is as dirty as the first; without the cover, all the earlier protection was for nothing.`,
    whatToDo: say`Uncover only after the last dirty step, just before inspecting and reconnecting.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: cover, connectors: [inverter-dc], using: dummy-plug }
  - { id: op40, do: uncover, connectors: [inverter-dc] }
  - { id: op50, do: sand, zone: rear-floor }
  - { id: op60, do: inspect, connectors: [inverter-dc] }
  - { id: op70, do: reconnect, connectors: [inverter-dc] }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: cover, connectors: [inverter-dc], using: dummy-plug }
  - { id: op50, do: sand, zone: rear-floor }
  - { id: op55, do: uncover, connectors: [inverter-dc] }
  - { id: op60, do: inspect, connectors: [inverter-dc] }
  - { id: op70, do: reconnect, connectors: [inverter-dc] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
  *check({ plan, lives }) {
    for (const life of lives) {
      if (life.unsure) continue;
      const { connector } = life;
      for (const window of windowsOf(plan, life)) {
        const { opened, closed, hazards } = window;
        if (opened.act !== 'uncover' || hazards.length === 0) continue;
        const { operation } = opened;
        yield {
          at: spanOfMention(operation, connector.id),
          operation: operation.id,
          connector: connector.id,
          ...metIn(window),
          message: say`${named(operation)} uncovers ${connector.id} while ${hazardOperationNames(hazards)} may still put ${hazardsOf(window)} on it. Leave the cover on until the dirty work is done.`,
          trace: [
            traceAt(operation, say`${operation.id}: ${connector.id} is uncovered here`),
            ...traceHazards(window, connector),
            ...(closed
              ? [traceAt(closed.operation, say`${closed.operation.id}: it is closed only here`)]
              : []),
          ],
          fixes: () => {
            const step = operation.planStep;
            const threats = [...new Set(hazards.map((hazard) => hazard.operation.planStep))];
            const free = threats.every((threat) => !stepBefore(plan, step, threat));
            const ids = threats.map(({ id }) => id);
            const last = threats.at(-1)!;
            return [
              fix(
                say`Uncover only after ${andList(ids)}`,
                free ? [waitFor(plan, step, ids)] : putAfter(plan, step, threats),
              ),
              fix(say`Move ${step.id} to right after ${last.id}`, moveStep(plan, step, 'after', last)),
            ];
          },
        };
      }
    }
  },
};
