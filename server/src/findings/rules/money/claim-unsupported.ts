import { andList, say } from '../../../language/phrase.ts';
import { labourWhere } from '../../../plan/plan.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const claimUnsupported: FindingRule = {
  id: 'claim-unsupported',
  title: say`A claim without its reason or its document`,
  severity: 'warning',
  page: () => ({
    means: say`A labour line says \`basis: not-included\` and either gives no \`reason\` or quotes no document under \`cites\`. It is looked for where the shop's rate sheet says \`reasons: true\`.`,
    why: say`A payer who reads why the work was owed on this vehicle, and where it is written, has nothing left to ask.`,
    whatToDo: say`Write the \`reason\` in a sentence, and under \`cites\` the source, the place and what it says.`,
    source: commonPractice,
    example: {
      wrong: `uses: [./shop.rate-sheet.yaml, ./reasons.rate-sheet.yaml]
operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
labour:
  - { for: op20, task: disconnect, hours: 0.3, basis: not-included, reference: T1 }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
labour:
  - for: op20
    task: disconnect
    hours: 0.3
    basis: not-included
    reference: T1
    reason: The connector crosses the panel that is cut.
    cites: [{ source: T1, where: table 2, says: Disconnecting is timed by itself., about: published-time }]
`,
    },
  }),
  kinds: plansOnly,
  ground: 'lines',
  *check({ plan }) {
    if (!plan.scope.policy.reasons) return;
    for (const { node, for: paid } of unsupported(plan)) {
      const reason = node.get('reason')?.value.trim();
      const lacks = [
        ...(reason ? [] : [say`no \`reason\``]),
        ...(node.get('cites')?.items.length ? [] : [say`no document under \`cites\``]),
      ];
      yield {
        at: node.get('basis')!.span,
        ...(paid[0] ? { operation: paid[0].value } : {}),
        message: say`The line for ${andList(paid.map(({ value }) => value))} claims "not included" with ${andList(lacks)}. Write why the work is owed and what shows it, or the payer strikes the line out.`,
      };
    }
  },
};

const unsupported = labourWhere(
  ({ node, basis, hours, sublet }) =>
    basis === 'not-included' &&
    (hours !== 0 || sublet) &&
    !node.partlyParsed &&
    !(node.get('reason')?.value.trim() && node.get('cites')?.items.length),
);
