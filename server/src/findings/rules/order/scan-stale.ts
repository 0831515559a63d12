import { traceAt, named } from '../../support/words.ts';
import { unprovenOf } from '../../../sequence/facts/use.ts';
import { fix, insertBefore, onlyAfter } from '../../support/mending.ts';
import { told, unmetGroups } from '../../support/needs.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const scanStale: FindingRule = {
  id: 'scan-stale',
  title: say`Handed over on a scan that is out of date`,
  severity: 'warning',
  page: () => ({
    means: say`After the last scan, or without any, the 12 V battery was disconnected, or a control unit was calibrated or programmed, and the vehicle is handed over.`,
    why: say`Each of these leaves fault codes behind, and an airbag or a brake with a stored fault code may not work.`,
    whatToDo: say`Scan for fault codes after the last such step.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op10, do: scan }
  - { id: op20, do: battery-12v-off }
  - { id: op30, do: battery-12v-on }
  - { id: op99, do: deliver }
`,
      right: `operations:
  - { id: op20, do: battery-12v-off }
  - { id: op30, do: battery-12v-on }
  - { id: op40, do: scan }
  - { id: op99, do: deliver }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check(subject) {
    const { plan, sequence } = subject;
    // A connector without a later scan has its own finding.
    if (plan.vehicle?.noScan || unprovenOf(plan, 'scanned').length > 0) return;
    const deliveries = plan.operationsDoing('deliver');
    for (const { culprit, first } of told(
      subject,
      'scan-stale',
      unmetGroups(plan, 'scanned-last', deliveries),
    )) {
      if (!culprit) continue;
      yield {
        at: culprit.span,
        operation: culprit.id,
        message: say`${named(culprit)} leaves fault codes behind, and no scan is certain to follow it before ${named(first)}. Scan for fault codes before ${first.id}.`,
        trace: [traceAt(first, say`${named(first)}: reached without it`)],
        fixes: () => {
          const scan = plan
            .operationsDoing('scan')
            .find(
              (operation) =>
                sequence.order.before(culprit, operation) && !sequence.order.before(first, operation),
            );
          return [
            [
              scan && onlyAfter(plan, first, scan),
              fix(
                say`Scan for fault codes before ${first.planStep.id}`,
                insertBefore(plan, first.planStep, [{ task: 'scan', fields: [] }], [culprit.planStep]),
              ),
            ],
          ];
        },
      };
    }
  },
};
