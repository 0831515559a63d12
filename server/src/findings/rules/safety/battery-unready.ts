import { beforeBatteryCheck } from '../../../plan/tables/needs.ts';
import { traceAt, named } from '../../support/words.ts';
import { fix, insertBefore, waitFor } from '../../support/mending.ts';
import { safetyUnsure } from '../../support/high-voltage.ts';
import { alsoAt, andAt, told, unmetGroups } from '../../support/needs.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const batteryUnready: FindingRule = {
  id: 'battery-unready',
  title: say`Used without its traction battery, or worked on before the battery is inspected`,
  severity: 'error',
  means: say`The vehicle is powered, moved or handed over while its traction battery may be out; or it came in wet or with high-voltage damage (\`arrived-as\`), and work begins before the traction battery is inspected.`,
  why: say`A wet or damaged battery can short-circuit and burn hours or days later. Until the battery is inspected the vehicle stays outdoors, apart and watched.`,
  whatToDo: say`Raise the battery into place and prove its connectors before power-up; have a qualified person inspect a wet or damaged battery first, as the vehicle maker specifies.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'safety',
  example: {
    wrong: `vehicle: { description: Kestrel (invented), propulsion: hybrid, system-voltage: 270 V, arrived-as: [wet] }
operations:
  - { id: op10, do: wash }
`,
    right: `vehicle: { description: Kestrel (invented), propulsion: hybrid, system-voltage: 270 V, arrived-as: [wet] }
operations:
  - { id: op05, do: inspect-battery }
  - { id: op10, do: wash }
`,
  },
  *check(subject) {
    const { plan, sequence } = subject;
    if (safetyUnsure(plan)) return;
    for (const { culprit, first, others } of told(
      subject,
      'battery-unready',
      unmetGroups(plan, 'battery-in', sequence.gates),
    )) {
      yield {
        at: first.span,
        operation: first.id,
        message: say`${named(first)} comes while the traction battery may be out of the vehicle. Raise the battery into place, and close and prove its connectors, before ${first.id}.`,
        ...andAt(others),
        trace: [
          ...(culprit ? [traceAt(culprit, say`${named(culprit)}: out from here`)] : []),
          ...alsoAt(others),
        ],
      };
    }
    if (!plan.vehicle?.arrivedAs.some((word) => word === 'wet' || word === 'high-voltage-damaged')) return;
    const work = plan.operations.filter(({ task, taskId }) => task && !beforeBatteryCheck.has(taskId));
    for (const { first, others } of told(
      subject,
      'battery-unready',
      unmetGroups(plan, 'battery-checked', work),
    )) {
      const inspection = plan
        .operationsDoing('inspect-battery')
        .find((one) => !sequence.order.before(first, one));
      yield {
        at: first.span,
        operation: first.id,
        message: say`${named(first)} begins before the traction battery of a wet or damaged vehicle is inspected: the battery can catch fire hours later. Keep the vehicle outdoors, apart and watched, and have the battery inspected as the vehicle maker specifies before ${first.id}.`,
        ...andAt(others),
        trace: alsoAt(others),
        fixes: () => [
          [
            inspection &&
              fix(say`Do ${first.planStep.id} only after ${inspection.planStep.id}`, [
                waitFor(plan, first.planStep, [inspection.planStep.id]),
              ]),
            fix(
              say`Inspect the traction battery before ${first.planStep.id}`,
              insertBefore(plan, first.planStep, [{ task: 'inspect-battery', fields: [], by: 'nobody' }]),
            ),
          ],
        ],
      };
    }
  },
};
