import { andList, say } from '../../../language/phrase.ts';
import { named, someNamed } from '../../support/words.ts';
import { handsBeside, unorderedWith } from '../../support/beside.ts';
import { fix, waitFor } from '../../support/mending.ts';
import { insulationTests } from '../../support/tools.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const insulationTestBeside: FindingRule = {
  id: 'insulation-test-beside',
  title: say`An insulation test while somebody works beside it`,
  severity: 'error',
  page: () => ({
    means: say`An insulation test may run while another hands-on step is under way: nothing makes one of them wait for the other.`,
    why: say`The test puts hundreds of volts on conductors that the other person may touch, and the other work can spoil the reading.`,
    whatToDo: say`Make the other step wait for the test, or the test for the step. Keep everybody away from the vehicle while the test voltage is on.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op10, do: isolate }
  - { id: op12, do: lock-out }
  - { id: op14, do: wait, time: 5 min }
  - { id: op16, do: prove-dead, meter-proven: before-and-after }
  - { id: op30, do: measure-insulation, connectors: [inverter-dc] }
  - { id: op40, do: refit, zone: rear-floor, after: [op16] }
`,
      right: `operations:
  - { id: op10, do: isolate }
  - { id: op12, do: lock-out }
  - { id: op14, do: wait, time: 5 min }
  - { id: op16, do: prove-dead, meter-proven: before-and-after }
  - { id: op30, do: measure-insulation, connectors: [inverter-dc] }
  - { id: op40, do: refit, zone: rear-floor, after: [op30] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  *check({ plan, sequence: { order } }) {
    for (const test of insulationTests(plan)) {
      const { all: beside, dangerous } = handsBeside(plan, order, test);
      if (beside.length === 0) continue;
      const told = dangerous.length > 0 ? dangerous : beside;
      yield {
        at: test.span,
        operation: test.id,
        severity: dangerous.length > 0 ? 'error' : 'warning',
        ...unorderedWith(test, told),
        message: say`${named(test)} may run during ${someNamed(told)}: the test voltage is a shock to a hand on the vehicle. Make one wait for the other, and keep everybody away while the test voltage is on.`,
        fixes: () => [
          fix(
            say`Do ${andList(beside.map(({ planStep }) => planStep.id))} only after ${test.planStep.id}`,
            [...new Set(beside.map(({ planStep }) => planStep))].map((step) =>
              waitFor(plan, step, [test.planStep.id]),
            ),
          ),
        ],
      };
    }
  },
};
