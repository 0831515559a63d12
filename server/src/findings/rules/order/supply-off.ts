import { needs12V } from '../../../plan/tables/needs.ts';
import { traceAt, named } from '../../support/words.ts';
import { fix, insertBefore, onlyAfter } from '../../support/mending.ts';
import { alsoAt, andAt, told, unmetGroups } from '../../support/needs.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const supplyOff: FindingRule = {
  id: 'supply-off',
  title: say`Powered or scanned with the 12 V battery disconnected`,
  severity: 'error',
  page: () => ({
    means: say`A step powers the vehicle up, charges it, moves it, tests it or talks to its control units, and the 12 V battery is not certain to be connected again.`,
    why: say`Without 12 V the control units are off: the contactors stay open, a scan finds nothing, a calibration is lost. A charger that is then connected in a hurry makes the airbags live by surprise.`,
    whatToDo: say`Reconnect the 12 V battery before that step, with nobody inside and every restraint connector closed.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op10, do: battery-12v-off }
  - { id: op90, do: power-up }
`,
      right: `operations:
  - { id: op10, do: battery-12v-off }
  - { id: op80, do: battery-12v-on }
  - { id: op90, do: power-up }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check(subject) {
    const { plan, sequence } = subject;
    const steps = [...needs12V].flatMap((task) => plan.operationsDoing(task));
    for (const { culprit, first, others } of told(
      subject,
      'supply-off',
      unmetGroups(plan, '12v-on', steps),
    )) {
      const gate = [first, ...others].some(({ task }) => task?.gate);
      yield {
        at: first.span,
        operation: first.id,
        severity: gate ? 'error' : 'warning',
        message: say`${named(first)} needs the 12 V supply, and the 12 V battery may still be disconnected. Reconnect the 12 V battery before ${first.id}, with nobody inside and every restraint connector closed.`,
        ...andAt(others),
        trace: [
          ...(culprit ? [traceAt(culprit, say`${named(culprit)}: disconnected from here`)] : []),
          ...alsoAt(others),
        ],
        fixes: () => {
          const on = plan
            .operationsDoing('battery-12v-on')
            .find((operation) => !sequence.order.before(first, operation));
          return [
            [
              on && onlyAfter(plan, first, on),
              fix(
                say`Reconnect the 12 V battery before ${first.planStep.id}`,
                insertBefore(plan, first.planStep, [{ task: 'battery-12v-on', fields: [], by: 'nobody' }]),
              ),
            ],
          ];
        },
      };
    }
  },
};
