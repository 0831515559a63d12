import { cameInWetOrDamaged } from '../../../plan/vehicle.ts';
import { setKey } from '../../../document/edits.ts';
import { say } from '../../../language/phrase.ts';
import { isolates, mayHaveHighVoltage } from '../../../plan/high-voltage.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Plan } from '../../../plan/plan.ts';
import { gloveSource } from '../../../plan/tables/gloves.ts';
import { needsGloves, needsGlovesIfDamaged } from '../../../plan/tables/needs.ts';
import { isVehicleFactMet } from '../../../sequence/facts/timeline.ts';
import { opensBattery } from '../../support/battery.ts';
import { ownSteps } from '../../support/tools.ts';
import { fix, statedElsewhere } from '../../support/mending.ts';
import { alsoAt, andAt, toldApart } from '../../support/needs.ts';
import { named } from '../../support/words.ts';
import type { FindingRule, Fix } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

export const glovesUnstated: FindingRule = {
  id: 'gloves-unstated',
  title: say`Hands at high voltage before the proof, and no gloves named`,
  severity: 'warning',
  page: () => ({
    means: say`The high-voltage system is isolated or proven dead, or the battery of a wet or damaged vehicle is inspected, or the traction battery is opened by a task of the shop's own, and the step names no insulating gloves. It is not certain at that moment that the system is dead; a wet or damaged battery can be live whatever was proven, and an opened one is.`,
    why: say`Until the proof is done the contacts count as live, and the proof itself is done at them. What is not on the card is not put on.`,
    whatToDo: say`Name the class of the gloves in the step (\`glove-class\`), as the vehicle maker specifies for that voltage.`,
    source: say`common practice; EN 50110-1 and NFPA 70E-2024, 120.6, ask for protective equipment until the absence of voltage is verified (clauses from memory); classes: ${gloveSource}`,
    example: {
      wrong: `operations:
  - { id: op10, do: isolate, glove-class: '0' }
  - { id: op16, do: prove-dead, meter-proven: before-and-after }
`,
      right: `operations:
  - { id: op10, do: isolate, glove-class: '0' }
  - { id: op16, do: prove-dead, meter-proven: before-and-after, glove-class: '0' }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check({ plan, sequence, isActive: counts }) {
    if (!mayHaveHighVoltage(plan)) return;
    const damaged = cameInWetOrDamaged(plan.vehicle);
    const isolating = [...plan.scope.tasks.values()].flatMap(({ id, makes }) =>
      makes.includes('isolated') ? [id] : [],
    );
    const opened = new Set(ownSteps(plan).filter((operation) => opensBattery(plan, operation)));
    const bare = [...new Set([...needsGloves, ...isolating, ...(damaged ? needsGlovesIfDamaged : [])])]
      .flatMap((task) => plan.operationsDoing(task))
      .filter((operation) => !opened.has(operation))
      .concat([...opened])
      .filter((operation) => operation.step.node.entry('glove-class') === undefined)
      // Of the isolating connector, its own finding tells.
      .filter(({ connectors }) => !connectors.some(({ value }) => isolates(plan, value)))
      .filter(
        (operation) =>
          opened.has(operation) ||
          needsGlovesIfDamaged.has(operation.taskId) ||
          !isVehicleFactMet(plan, 'high-voltage-dead', operation) ||
          !isVehicleFactMet(plan, 'proof-fresh', operation),
      )
      .sort((a, b) => sequence.order.compare(a, b));
    if (bare.length === 0) return;
    const isAccepted = ({ id }: Operation): boolean => !counts('gloves-unstated', { operation: id });
    const isAtDamaged = ({ taskId }: Operation): boolean => needsGlovesIfDamaged.has(taskId);
    const groups = [
      { steps: bare.filter((step) => !isAtDamaged(step) && !opened.has(step)) },
      { steps: bare.filter((step) => isAtDamaged(step)) },
      { steps: bare.filter((step) => opened.has(step)) },
    ];
    for (const { first, others } of toldApart(groups, isAccepted)) {
      yield {
        at: first.span,
        operation: first.id,
        message: isAtDamaged(first)
          ? say`${named(first)} puts hands on the traction battery of a wet or damaged vehicle, which can be live whatever was proven, and names no insulating gloves. Write their class as \`glove-class\`, as the vehicle maker specifies.`
          : opened.has(first)
            ? say`${named(first)} puts hands into the opened traction battery, whose cells stay live after every proof, and names no insulating gloves. Write their class as \`glove-class\`, as the vehicle maker specifies.`
            : say`${named(first)} puts hands where high voltage is not yet proven dead, and names no insulating gloves. Write their class as \`glove-class\`, as the vehicle maker specifies.`,
        ...andAt(others),
        trace: alsoAt(others),
        fixes: () => [wearWhat(plan, [first, ...others])],
      };
    }
  },
};

/** The class that another such step of the plan names; a class of its own a fix does not choose. */
function wearWhat(plan: Plan, steps: readonly Operation[]): Fix | undefined {
  const own = steps.filter(({ step, planStep }) => step === planStep);
  if (own.length < steps.length || own.length === 0) return undefined;
  const text = own
    .flatMap(({ taskId }) => [taskId, ...needsGloves].flatMap((task) => statedElsewhere(plan, task, [])))
    .find(([key]) => key === 'glove-class')?.[1];
  if (text === undefined) return undefined;
  return fix(
    say`Name gloves of class ${text.replaceAll(/['"]/g, '')}`,
    own.map(({ step }) => setKey(plan.document, step.node, 'glove-class', text)),
  );
}
