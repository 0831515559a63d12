import { andList, say } from '../../../language/phrase.ts';
import { needs12V } from '../../../plan/tables/needs.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { handsBeside } from '../../support/beside.ts';
import { fix, waitFor } from '../../support/mending.ts';
import { traceAt, named } from '../../support/words.ts';

export const poweredBeside: FindingRule = {
  id: 'powered-beside',
  title: say`Powered, moved or charged while somebody works on the vehicle`,
  severity: 'error',
  means: say`The vehicle may be powered up, run, jump-started, charged or moved while a hands-on step is under way: nothing makes one of them wait for the other.`,
  why: say`High voltage comes on, a fan or a wheel turns, an airbag wakes up, and a hand is in between.`,
  whatToDo: say`Make the powering step wait for that work, or the work for it. Nobody is in, on or under the vehicle while it is powered up.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'safety',
  example: {
    wrong: `operations:
  - { id: op10, do: consult }
  - { id: op20, do: refit, zone: motor-bay, after: [op10] }
  - { id: op90, do: power-up, after: [op10] }
`,
    right: `operations:
  - { id: op10, do: consult }
  - { id: op20, do: refit, zone: motor-bay, after: [op10] }
  - { id: op90, do: power-up, after: [op20] }
`,
  },
  *check({ plan, sequence: { order, gates } }) {
    for (const gate of gates) {
      if (gate.taskId === 'deliver') continue;
      const { all, dangerous } = handsBeside(
        plan,
        order,
        gate,
        ({ task, taskId }) => needs12V.has(taskId) || task?.gate === true,
      );
      if (all.length === 0) continue;
      const told = dangerous.length > 0 ? dangerous : all;
      yield {
        at: gate.span,
        operation: gate.id,
        severity: dangerous.length > 0 ? 'error' : 'warning',
        message: say`${named(gate)} may come during ${andList(told.slice(0, 3).map(named))}: somebody's hands are on a vehicle that comes alive. Make ${gate.planStep.id} wait until that work is done.`,
        trace: told
          .slice(0, 5)
          .map((other) => traceAt(other, say`${named(other)}: nothing orders it before or after ${gate.id}`)),
        fixes: () => [
          fix(
            say`Do ${gate.planStep.id} only after ${andList([...new Set(all.map(({ planStep }) => planStep.id))])}`,
            [waitFor(plan, gate.planStep, [...new Set(all.map(({ planStep }) => planStep.id))])],
          ),
        ],
      };
    }
  },
};
