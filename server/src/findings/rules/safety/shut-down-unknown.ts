import { traceAt, named } from '../../support/words.ts';
import { fix, insertBefore } from '../../support/mending.ts';
import { told, unmetGroups } from '../../support/needs.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const shutDownUnknown: FindingRule = {
  id: 'shut-down-unknown',
  title: say`12 V off a vehicle that may still be on`,
  severity: 'warning',
  page: () => ({
    means: say`The 12 V battery is disconnected after a scan, a calibration or programming, or of a vehicle that came in powered, and nothing shuts the vehicle down first.`,
    why: say`A vehicle that was left on supplies 12 V from its converter: the airbags stay live although the battery is off.`,
    whatToDo: say`Add a \`shut-down\` step before the 12 V battery is disconnected, as the vehicle maker specifies.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op10, do: scan }
  - { id: op20, do: battery-12v-off }
`,
      right: `operations:
  - { id: op10, do: scan }
  - { id: op15, do: shut-down }
  - { id: op20, do: battery-12v-off }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check(subject) {
    const { plan } = subject;
    const offs = plan.operationsDoing('battery-12v-off');
    for (const { culprit, first } of told(
      subject,
      'shut-down-unknown',
      unmetGroups(plan, 'shut-down', offs),
    )) {
      yield {
        at: first.span,
        operation: first.id,
        message: culprit
          ? say`${named(first)} comes after ${named(culprit)}, and nobody knows whether the vehicle is still on: its converter would keep the airbags live. Shut the vehicle down before ${first.id}.`
          : say`${named(first)} disconnects the 12 V battery of a vehicle that came in powered: its converter would keep the airbags live. Shut the vehicle down before ${first.id}.`,
        trace: culprit ? [traceAt(culprit, say`${named(culprit)}: the vehicle may be on from here`)] : [],
        fixes: () => [
          fix(
            say`Shut the vehicle down before ${first.planStep.id}`,
            insertBefore(plan, first.planStep, [{ task: 'shut-down', fields: [] }]),
          ),
        ],
      };
    }
  },
};
