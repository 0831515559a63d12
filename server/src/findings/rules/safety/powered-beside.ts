import { say } from '../../../language/phrase.ts';
import { movesTheVehicle, wakesTheVehicle } from '../../../plan/tables/needs.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { puttingIn, takingOut } from '../../support/battery.ts';
import { safeSteps } from '../../support/high-voltage.ts';
import { belongsToUse, handsBeside } from '../../support/beside.ts';
import { onlyAfter } from '../../support/mending.ts';
import { named, someNamed, traceAt } from '../../support/words.ts';

export const poweredBeside: FindingRule = {
  id: 'powered-beside',
  title: say`Powered, moved, lifted or charged while somebody works on the vehicle`,
  severity: 'error',
  means: say`The vehicle may be powered up, run, jump-started, charged, moved, pushed or towed, or its traction battery lowered or raised, or control units calibrated or programmed with the vehicle awake, while a hands-on step is under way: nothing makes one of them wait for the other.`,
  why: say`High voltage comes on, a fan or a wheel turns, an airbag wakes up, and a hand is in between. A vehicle that rolls, or that loses or takes the weight of its battery on a lift, crushes whoever is in or under it.`,
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
    const doing = (tasks: ReadonlySet<string>): Operation[] =>
      [...tasks].flatMap((task) => plan.operationsDoing(task));
    const moving = new Set([...doing(movesTheVehicle), ...takingOut(plan), ...puttingIn(plan)]);
    for (const gate of new Set([...gates, ...moving, ...doing(wakesTheVehicle)])) {
      if (gate.taskId === 'deliver') continue;
      const moves = moving.has(gate);
      const { all, dangerous } = handsBeside(plan, order, gate, belongsToUse);
      if (all.length === 0) continue;
      // Whoever settles the state of the vehicle may mean to come after the power as well as before it.
      const work = moves ? all : all.filter(({ taskId }) => !settling.has(taskId));
      const told = dangerous.length > 0 ? dangerous : work.length > 0 ? work : all;
      yield {
        at: gate.span,
        operation: gate.id,
        severity: dangerous.length > 0 ? 'error' : 'warning',
        message:
          work.length === 0
            ? say`${named(gate)} may come before or after ${someNamed(told)}: nobody knows whether the vehicle is live after both. Make one wait for the other.`
            : moves
              ? say`${named(gate)} may come during ${someNamed(told)}: a vehicle that moves or changes its weight crushes whoever is in or under it. Make ${gate.planStep.id} wait until that work is done.`
              : say`${named(gate)} may come during ${someNamed(told)}: somebody's hands are on a vehicle that comes alive. Make ${gate.planStep.id} wait until that work is done.`,
        trace: told
          .slice(0, 5)
          .map((other) => traceAt(other, say`${named(other)}: nothing orders it before or after ${gate.id}`)),
        fixes: () => (work.length < all.length ? [] : [onlyAfter(plan, gate, ...all)]),
      };
    }
  },
};

/** Steps after which the vehicle is no longer live, or less so. */
const settling: ReadonlySet<string> = new Set(['shut-down', 'battery-12v-off', 'isolate-48v', ...safeSteps]);
