import { say } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import type { Plan } from '../../../plan/plan.ts';
import { hasIgniter } from '../../../plan/tables/classes.ts';
import { ignitersMaySit, underTheBody, wakesTheVehicle } from '../../../plan/tables/needs.ts';
import { historiesWhere } from '../../../sequence/lives.ts';
import type { Sequence } from '../../../sequence/lives.ts';
import type { FindingReport, FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { puttingIn, takingOut } from '../../support/battery.ts';
import { safeSteps } from '../../support/high-voltage.ts';
import { belongsToUse, handsBeside, movesVehicle, unorderedWith } from '../../support/beside.ts';
import { onlyAfter } from '../../support/mending.ts';
import { suppliesOf12V } from '../../support/supply.ts';
import { named, someNamed } from '../../support/words.ts';

export const poweredBeside: FindingRule = {
  id: 'powered-beside',
  title: say`Powered, moved, lifted or charged while somebody works on the vehicle`,
  severity: 'error',
  page: () => ({
    means: say`The vehicle may be powered up, run, jump-started, charged, moved, pushed, towed or aligned, or its traction battery lowered or raised, or the air let out of its suspension (beside work under the body or in a wheel arch), or control units calibrated or programmed with the vehicle awake, or the vehicle lifted, lowered, pushed or set free to roll by a task of the shop's own with such a name, while a hands-on step is under way: nothing makes one of them wait for the other. Or the 12 V supply comes on, after an airbag connector was opened, while somebody works in the cabin, at the roof or in the zone of that connector (a warning).`,
    why: say`High voltage comes on, a fan or a wheel turns, an airbag wakes up, and a hand is in between. A vehicle that rolls, or that loses or takes the weight of its battery on a lift, crushes whoever is in or under it.`,
    whatToDo: say`Make the powering step wait for that work, or the work for it. Nobody is in, on or under the vehicle while it is powered up.`,
    source: commonPractice,
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
  }),
  kinds: plansOnly,
  ground: 'safety',
  *check({ plan, sequence }) {
    const { order, gates } = sequence;
    yield* suppliedBeside(plan, sequence);
    const sinking = new Set(sinkingIn(plan));
    const batteries = new Set([...takingOut(plan), ...puttingIn(plan)]);
    const moving = new Set([...movingIn(plan), ...sinking, ...batteries]);
    const waking = [...wakesTheVehicle].flatMap((task) => plan.operationsDoing(task));
    for (const gate of new Set([...gates, ...moving, ...waking])) {
      if (gate.taskId === 'deliver') continue;
      const moves = moving.has(gate);
      const { all, dangerous } = handsBeside(
        plan,
        order,
        gate,
        (work) =>
          // Hands are under the vehicle while its battery goes out or in; of two batteries, each is told by itself.
          (belongsToUse(work) && (!batteries.has(work) || batteries.has(gate))) ||
          (sinking.has(gate) && (sinking.has(work) || !work.zones.some((zone) => underTheBody.has(zone)))),
      );
      if (all.length === 0) continue;
      // Whoever settles the state of the vehicle may mean to come after the power as well as before it.
      const work = moves ? all : all.filter(({ taskId }) => !settling.has(taskId));
      const told = dangerous.length > 0 ? dangerous : work.length > 0 ? work : all;
      yield {
        at: gate.span,
        operation: gate.id,
        severity: dangerous.length > 0 ? 'error' : 'warning',
        ...unorderedWith(gate, told),
        message:
          work.length === 0
            ? say`${named(gate)} may come before or after ${someNamed(told)}: nobody knows whether the vehicle is live after both. Make one wait for the other.`
            : moves
              ? say`${named(gate)} may come during ${someNamed(told)}: a vehicle that moves or changes its weight crushes whoever is in or under it. Make ${gate.planStep.id} wait until that work is done.`
              : say`${named(gate)} may come during ${someNamed(told)}: somebody's hands are on a vehicle that comes alive. Make ${gate.planStep.id} wait until that work is done.`,
        fixes: () => (work.length < all.length ? [] : [onlyAfter(plan, gate, ...all)]),
      };
    }
  },
};

/** Steps that move the vehicle, or turn its wheels on a rack. */
const movingIn = operationsWhere((step) => movesVehicle(step) || step.taskId === 'align-wheels');

/** Steps at which the vehicle sinks: they let the air out of its suspension. */
const sinkingIn = (plan: Plan): readonly Operation[] =>
  plan
    .operationsDoing('relieve-pressure')
    .filter(({ connectors }) =>
      connectors.some(({ value }) => plan.scope.connectors.get(value)?.medium === 'compressed-air'),
    );

/** 12 V that comes on where airbags were unplugged, while somebody may be in front of one. */
function* suppliedBeside(plan: Plan, { order, byHand }: Sequence): Generator<FindingReport> {
  const opened = openedIgniters(plan);
  if (opened.length === 0) return;
  const zones = new Set([...ignitersMaySit, ...opened.flatMap(({ connector }) => connector.zone ?? [])]);
  const inside = byHand.filter((step) => !belongsToUse(step) && step.zones.some((zone) => zones.has(zone)));
  for (const supply of suppliesOf12V(plan)) {
    const work = order
      .candidatesBetween(inside, supply, supply)
      .filter((step) => step !== supply && order.unordered(step, supply));
    if (work.length === 0) continue;
    yield {
      at: supply.span,
      operation: supply.id,
      severity: 'warning',
      ...unorderedWith(supply, work),
      message: say`${named(supply)} may come during ${someNamed(work)}, and airbag connectors were open: an airbag that is plugged in wrongly can fire as the 12 V supply comes on. Make ${supply.planStep.id} wait until nobody is inside.`,
      fixes: () => [onlyAfter(plan, supply, ...work)],
    };
  }
}

const openedIgniters = historiesWhere(
  ({ connector, events, unsure }) =>
    !unsure && hasIgniter(connector) && events.some(({ act }) => act === 'disconnect'),
);

/** Steps after which the vehicle is no longer live, or less so. */
const settling: ReadonlySet<string> = new Set(['shut-down', 'battery-12v-off', 'isolate-48v', ...safeSteps]);
