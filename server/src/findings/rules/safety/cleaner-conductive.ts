import { addToGroup } from '../../../base/collections.ts';
import { say } from '../../../language/phrase.ts';
import { highVoltageOf } from '../../../plan/high-voltage.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Consumable } from '../../../plan/rate-sheet.ts';
import { alsoAt, andAt, someOf, told } from '../../support/needs.ts';
import { named, ofConnectors } from '../../support/words.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const cleanerConductive: FindingRule = {
  id: 'cleaner-conductive',
  title: say`High-voltage contacts cleaned with something that may conduct`,
  severity: 'warning',
  page: () => ({
    means: say`A step cleans a high-voltage power or interlock connector and uses a cleaner, an oil or something else of the rate sheet that is not stated to be non-conductive, or is stated to conduct (an error). It is silent where the step does not say what is used.`,
    why: say`A fluid that conducts, or the bristle of a brush, bridges traction voltage between the contacts. What it leaves behind raises their resistance, and the contact runs hot.`,
    whatToDo: say`Clean only with what the vehicle maker specifies for these contacts, and let them dry. State \`non-conductive: true\` of that in the rate sheet.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op50, do: clean, connectors: [inverter-dc], using: belt-oil }
`,
      right: `operations:
  - { id: op50, do: clean, connectors: [inverter-dc], using: dry-cleaner }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'names',
  *check(subject) {
    const { plan, sequence } = subject;
    const byMeans = new Map<Consumable, Operation[]>();
    for (const step of plan.operationsDoing('clean')) {
      if (step.using.length === 0 || highVoltageOf(plan, step).length === 0) continue;
      for (const { value } of step.using) {
        const means = plan.scope.consumables.get(value);
        if (means && !means.nonConductive && cleansWith.has(means.kind)) addToGroup(byMeans, means, step);
      }
    }
    for (const [{ id, conducts }, all] of byMeans) {
      const steps = all.sort((a, b) => sequence.order.compare(a, b));
      for (const { first, others } of told(subject, 'cleaner-conductive', [{ culprit: undefined, steps }])) {
        const ids = highVoltageOf(plan, first);
        yield {
          at: first.span,
          operation: first.id,
          ...ofConnectors(ids),
          ...(conducts ? { severity: 'error' as const } : {}),
          message: conducts
            ? say`${named(first)} uses ${id} on the contacts of ${someOf(ids)}, and by the rate sheet ${id} conducts: what stays there bridges the traction voltage. Use what the vehicle maker specifies for these contacts.`
            : say`${named(first)} uses ${id} on the contacts of ${someOf(ids)}, and the rate sheet does not state that ${id} does not conduct: what stays there may bridge the traction voltage. Use what the vehicle maker specifies for these contacts, and state \`non-conductive: true\` of that in the rate sheet.`,
          ...andAt(others),
          trace: alsoAt(others),
        };
      }
    }
  },
};

const cleansWith: ReadonlySet<string> = new Set(['cleaner', 'oil', 'other']);
