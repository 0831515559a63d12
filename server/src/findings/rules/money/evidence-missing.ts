import { mapsIn } from '../../../document/node.ts';
import type { RepairPlan } from '../../../generated/repair-plan.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { named } from '../../support/words.ts';

type Evidence = NonNullable<RepairPlan['evidence']>[number];

export const evidenceMissing: FindingRule = {
  id: 'evidence-missing',
  title: say`A photograph that the shop requires is missing`,
  severity: 'warning',
  page: () => ({
    means: say`The shop's rate sheet requires a photograph of this task (\`photos\` under \`plugward\`), and the plan has none for the step.`,
    why: say`A cover cannot be seen once the panel is on. The photograph is the only proof that it was there.`,
    whatToDo: say`Take the photograph and name its file under \`evidence\`.`,
    source: say`The shop's rate sheet.`,
    example: {
      wrong: `uses: [./example.rate-sheet.yaml, ./strict.rate-sheet.yaml]
operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: cover, connectors: [inverter-dc], using: dummy-plug }
`,
      right: `uses: [./example.rate-sheet.yaml, ./strict.rate-sheet.yaml]
operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: cover, connectors: [inverter-dc], using: dummy-plug }
evidence:
  - { for: op30, photo: ./photos/op30.jpg }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'lines',
  *check({ plan, sequence }) {
    const { photos } = plan.scope.policy;
    if (photos.length === 0) return;
    const evidence = plan.root?.get('evidence')?.items ?? [];
    // An unreadable entry may be the missing photograph.
    if (evidence.some(({ partlyParsed }) => partlyParsed)) return;
    const shown = new Set(
      mapsIn<Evidence>({ items: evidence }).flatMap((item) =>
        item.get('photo') ? (item.get('for')?.value ?? []) : [],
      ),
    );
    const asked = [...new Set(photos)].flatMap((task) => plan.operationsDoing(task));
    for (const operation of asked.sort((a, b) => sequence.order.compareInText(a, b))) {
      const { planStep } = operation;
      if (shown.has(planStep.id) || planStep.node.partlyParsed) continue;
      // Several steps of one procedure are shown under the one step that follows it.
      shown.add(planStep.id);
      yield {
        at: planStep.span,
        operation: planStep.id,
        message: say`The shop requires a photograph of ${named(operation)}, and the plan has none. Take it, and name its file under \`evidence\`.`,
      };
    }
  },
};
