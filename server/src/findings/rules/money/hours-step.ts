import { exactSum } from '../../../costing/decimal.ts';
import { owedLabour, roundToTenths } from '../../../costing/owed.ts';
import { rewrite } from '../../../document/edits.ts';
import { andList, say } from '../../../language/phrase.ts';
import { labourWhere } from '../../../plan/plan.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { fix } from '../../support/mending.ts';

export const hoursStep: FindingRule = {
  id: 'hours-step',
  title: say`Hours finer than a tenth`,
  severity: 'warning',
  page: () => ({
    means: say`A labour line gives hours that are not in tenths, and the shop's rate sheet does not come to them either. A labour unit is a tenth of an hour, six minutes.`,
    why: say`Estimates are settled in tenths of an hour; anything finer is rounded by someone else.`,
    whatToDo: say`Write the hours in tenths.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
labour:
  - { for: op20, task: disconnect, hours: 0.33 }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
labour:
  - { for: op20, task: disconnect, hours: 0.3 }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'lines',
  *check({ plan }) {
    for (const { node, hours, for: paid } of tooFine(plan)) {
      // What the shop's own times come to is settled as it stands.
      const steps = new Set(paid.map(({ value }) => value));
      const own = owedLabour(plan).filter(({ step }) => steps.has(step.id));
      if (own.length > 0 && Math.abs(exactSum(own.map((one) => one.hours ?? 0)) - hours!) < 1e-9) continue;
      const rounded = roundToTenths(hours!);
      const written = node.get('hours')!;
      yield {
        at: written.span,
        ...(paid[0] ? { operation: paid[0].value } : {}),
        message: say`${String(hours)} h for ${andList(paid.map(({ value }) => value))} is finer than a tenth of an hour, the unit of estimates. Write it in tenths.`,
        fixes: () => [fix(say`Write ${String(rounded)} h`, [rewrite(written, String(rounded))])],
      };
    }
  },
};

const tooFine = labourWhere(
  ({ hours }) => hours !== undefined && Math.abs(hours - roundToTenths(hours)) >= 1e-9,
);
