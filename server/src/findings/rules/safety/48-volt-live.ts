import { needs48VOff } from '../../../plan/tables/needs.ts';
import { historiesWhere } from '../../../sequence/lives.ts';
import { traceAt, named } from '../../support/words.ts';
import { fix, insertBefore } from '../../support/mending.ts';
import { safetyUnsure } from '../../support/high-voltage.ts';
import { alsoAt, andAt, told, unmetGroups } from '../../support/needs.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const fortyEightVoltLive: FindingRule = {
  id: '48-volt-live',
  title: say`Work on a 48 V connector without isolating the 48 V system`,
  severity: 'warning',
  means: say`A connector of the 48 V system is opened, covered, uncovered, cleaned, measured or closed, and the 48 V system is not certain to be isolated.`,
  why: say`48 V draws an arc that burns skin, eyes and contacts; tape, cleaner or a probe can bridge two contacts.`,
  whatToDo: say`Isolate the 48 V system first, as the vehicle maker specifies.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'safety',
  example: {
    wrong: `connectors:
  - { id: belt-starter, class: 48-volt, zone: motor-bay }
operations:
  - { id: op20, do: disconnect, connectors: [belt-starter] }
`,
    right: `connectors:
  - { id: belt-starter, class: 48-volt, zone: motor-bay }
operations:
  - { id: op10, do: isolate-48v }
  - { id: op20, do: disconnect, connectors: [belt-starter] }
`,
  },
  *check(subject) {
    const { plan } = subject;
    if (safetyUnsure(plan)) return;
    const steps = connectors48(plan).flatMap(({ operations }) =>
      operations.filter(({ taskId }) => needs48VOff.has(taskId)),
    );
    for (const { culprit, first, others } of told(
      subject,
      '48-volt-live',
      unmetGroups(plan, '48v-off', [...new Set(steps)]),
    )) {
      yield {
        at: first.span,
        operation: first.id,
        message: say`${named(first)} handles a 48 V connector, and the 48 V system is not certain to be isolated: an arc burns skin and contacts. Isolate the 48 V system before ${first.id}, as the vehicle maker specifies.`,
        ...andAt(others),
        trace: [
          ...(culprit
            ? [traceAt(culprit, say`${named(culprit)}: the system may be live again from here`)]
            : []),
          ...alsoAt(others),
        ],
        fixes: () => [
          fix(
            say`Isolate the 48 V system before ${first.planStep.id}`,
            insertBefore(plan, first.planStep, [{ task: 'isolate-48v', fields: [], by: 'nobody' }]),
          ),
        ],
      };
    }
  },
};

const connectors48 = historiesWhere(({ connector, unsure }) => !unsure && connector.class === '48-volt');
