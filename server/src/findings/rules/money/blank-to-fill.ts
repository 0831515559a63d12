import { fillInMarker, onlyRate, sheetTimeFor } from '../../../costing/owed.ts';
import { setKey } from '../../../document/edits.ts';
import { andList, say } from '../../../language/phrase.ts';
import { labourWhere, materialsWhere } from '../../../plan/plan.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { fix } from '../../support/mending.ts';

export const blankToFill: FindingRule = {
  id: 'blank-to-fill',
  title: say`A blank that must be filled in`,
  severity: 'warning',
  page: () => ({
    means: say`A labour or material line still says \`${fillInMarker}\`, because the rate sheet has no figure for it; or a labour line names none of the rates that the rate sheet has.`,
    why: say`A blank is worth nothing on the estimate. Plugward never invents a time.`,
    whatToDo: say`Fill in the figure from your own time study or another source you can name; name the rate the hours are billed at.`,
    source: say`Rule of the plan language.`,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
labour:
  - { for: op20, task: disconnect, hours: fill-in }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
labour:
  - { for: op20, task: disconnect, hours: 0.3, rate: electrical }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'text',
  *check({ plan }) {
    const lines = [
      ...blankLabour(plan).map((line) => ({ line, node: line.node.get('hours'), what: 'hours' })),
      ...blankMaterials(plan).map((line) => ({ line, node: line.node.get('quantity'), what: 'quantity' })),
    ];
    for (const { line, node, what } of lines) {
      if (node?.value !== fillInMarker) continue;
      const steps = andList(line.for.map(({ value }) => value));
      yield {
        at: node.span,
        ...(line.for[0] ? { operation: line.for[0].value } : {}),
        message:
          what === 'hours'
            ? say`The hours of this line for ${steps} are still blank, and a blank is not paid. Fill in a figure you can show a source for.`
            : say`The quantity of this line for ${steps} is still blank, and a blank earns nothing. Fill in a figure you can show a source for.`,
      };
    }
    if (plan.scope.names('rate').size === 0) return;
    for (const line of rateless(plan)) {
      const { node, for: paid } = line;
      const first = paid[0]?.value;
      const rate = sheetTimeFor(plan, line)?.rate ?? onlyRate(plan);
      yield {
        at: node.get('hours')!.span,
        ...(first === undefined ? {} : { operation: first }),
        message: say`This line for ${andList(paid.map(({ value }) => value))} names no rate, so its hours earn nothing. Write under \`rate\` which rate of the rate sheet they are billed at.`,
        fixes: () => [
          rate === undefined
            ? undefined
            : fix(say`Bill at ${rate}`, [setKey(plan.document, node, 'rate', rate)]),
        ],
      };
    }
  },
};

const rateless = labourWhere(
  ({ node, hours, basis, sublet }) =>
    !!hours && basis !== 'included' && !sublet && !node.entry('rate') && !node.partlyParsed,
);
const blankLabour = labourWhere(({ hours }) => hours === undefined);
const blankMaterials = materialsWhere(({ quantity }) => quantity === undefined);
