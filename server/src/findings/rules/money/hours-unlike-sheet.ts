import { exactSum } from '../../../costing/decimal.ts';
import { owedByStep, owedLabour } from '../../../costing/owed.ts';
import { rewrite } from '../../../document/edits.ts';
import { fastFlatMap } from '../../../base/collections.ts';
import { memoByIdentity } from '../../../incremental/memo.ts';
import type { OwedLabour } from '../../../costing/owed.ts';
import type { LabourLine } from '../../../plan/plan.ts';
import { andList, say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { fix } from '../../support/mending.ts';

export const hoursUnlikeSheet: FindingRule = {
  id: 'hours-unlike-sheet',
  title: say`Hours that differ from the shop's own time`,
  severity: 'warning',
  page: () => ({
    means: say`A labour line rests on the rate sheet's time study, or on no source at all, and its hours are not the sheet's.`,
    why: say`The study says one figure and the line another; if the payer asks for the study, the shop has to give way.`,
    whatToDo: say`Take the sheet's hours, or name the source of the other figure under \`reference\`.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
labour:
  - { for: op20, task: disconnect, hours: 0.5, reference: T1 }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
labour:
  - { for: op20, task: disconnect, hours: 0.3, reference: T1 }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'lines',
  *check({ plan }) {
    const all = owedLabour(plan);
    for (const line of new Set(fastFlatMap(all, (one) => doubtfulLines(one)))) {
      const owed = owedByStep(all);
      const { node, reference } = line;
      const hours = line.hours!;
      const ids =
        line.for.length > 1 ? new Set(line.for.map(({ value }) => value)) : [line.for[0]?.value ?? ''];
      const pays: OwedLabour[] = [];
      for (const id of ids) {
        for (const one of owed.get(id) ?? []) if (one.written.includes(line)) pays.push(one);
      }
      // Skip lines that cover more than this step or cite their own source; their hours may differ.
      if (pays.length === 0 || pays.length !== line.for.length) continue;
      if (
        !pays.every(
          ({ time, hours: own }) =>
            time && own !== undefined && (reference === undefined || reference === time.reference),
        )
      )
        continue;
      const sheet = exactSum(pays.map((one) => one.hours!));
      if (Math.abs(hours - sheet) < 0.001) continue;
      const overlap = exactSum(pays.map((one) => one.overlap));
      const written = node.get('hours')!;
      const named = andList(line.for.map(({ value }) => value));
      yield {
        at: written.span,
        operation: line.for[0]!.value,
        message:
          overlap > 0
            ? say`This line gives ${String(hours)} h for ${named}; the rate sheet gives ${String(sheet)} h, without ${String(overlap)} h of overlap with other lines. Take the sheet's hours, or name the source of the other figure.`
            : say`This line gives ${String(hours)} h for ${named}; the rate sheet gives ${String(sheet)} h. Take the sheet's hours, or name the source of the other figure.`,
        fixes: () => [
          fix(say`Write ${String(sheet)} h, as the rate sheet has it`, [rewrite(written, String(sheet))]),
        ],
      };
    }
  },
};

/** The lines of an owed task whose hours differ from the sheet, judged by the task alone. */
const doubtfulLines = memoByIdentity(({ written, time, hours }: OwedLabour): readonly LabourLine[] =>
  time && hours !== undefined
    ? written.filter(
        (line) =>
          line.hours !== undefined &&
          line.basis !== 'included' &&
          // What another firm does is not in the shop's own time.
          !line.sublet &&
          (line.for.length > 1 || Math.abs(line.hours - hours) >= 0.001),
      )
    : [],
);
