import { sheetTimeFor } from '../../../costing/owed.ts';
import { setKey } from '../../../document/edits.ts';
import { andList, say } from '../../../language/phrase.ts';
import { labourWhere } from '../../../plan/plan.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { fix } from '../../support/mending.ts';

export const referenceMissing: FindingRule = {
  id: 'reference-missing',
  title: say`A not-included line without its reference`,
  severity: 'warning',
  page: () => ({
    means: say`A labour line says \`basis: not-included\` and names no source that shows it.`,
    why: say`"Not included" is a claim. Without the page that proves it, the payer strikes the line out.`,
    whatToDo: say`Name the source under \`reference\`: the page of the published time, the vehicle maker's statement, or your own time study.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
labour:
  - { for: op20, task: disconnect, hours: 0.3, basis: not-included }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
labour:
  - { for: op20, task: disconnect, hours: 0.3, basis: not-included, reference: T1 }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'lines',
  *check({ plan }) {
    for (const line of unshown(plan)) {
      const { node, for: paid } = line;
      const basis = node.get('basis')!;
      const source = sheetTimeFor(plan, line)?.reference;
      yield {
        at: basis.span,
        ...(paid[0] ? { operation: paid[0].value } : {}),
        message: say`The line for ${andList(paid.map(({ value }) => value))} claims "not included" and shows no source. Name it under \`reference\`${source ? say`; the rate sheet's time rests on ${source}` : ''}.`,
        fixes: () => [
          source
            ? fix(say`Refer to ${source}, as the rate sheet does`, [
                setKey(plan.document, node, 'reference', source),
              ])
            : undefined,
        ],
      };
    }
  },
};

const unshown = labourWhere(
  ({ node, basis, reference }) => basis === 'not-included' && reference === undefined && !node.partlyParsed,
);
