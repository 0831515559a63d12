import { paidTask } from '../../../costing/owed.ts';
import { removeItem } from '../../../document/edits.ts';
import type { AnyNode } from '../../../document/node.ts';
import type { Span } from '../../../text/span.ts';
import { say } from '../../../language/phrase.ts';
import type { LabourLine, MaterialLine, Plan } from '../../../plan/plan.ts';
import type { WithSpan } from '../../../plan/read.ts';
import type { FindingRule, FindingReport } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { fix } from '../../support/mending.ts';

export const labourTwice: FindingRule = {
  id: 'labour-twice',
  title: say`The same work or material is billed twice`,
  severity: 'warning',
  page: () => ({
    means: say`Two labour lines bill the same task of the same step, or two material lines bill the same item for the same step.`,
    why: say`A duplicate line is the first thing a payer finds, and then every other line is doubted.`,
    whatToDo: say`Remove one, or put both into one line.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
labour:
  - { for: op20, task: disconnect, hours: 0.3 }
  - { for: op20, task: disconnect, hours: 0.3 }
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
    yield* twice(plan, 'labour', plan.labourByStep, ({ task }, id) => {
      const step = plan.step(id);
      return task?.value ?? (step ? paidTask(plan, step) : '');
    });
    yield* twice(plan, 'materials', plan.materialsByStep, ({ item }) => item?.value ?? '');
  },
};

/** Lines for the same step that charge the same. */
function* twice<L extends LabourLine | MaterialLine>(
  plan: Plan,
  section: 'labour' | 'materials',
  byStep: ReadonlyMap<string, readonly L[]>,
  charged: (line: L, step: string) => string,
): Generator<FindingReport> {
  for (const [id, lines] of byStep) {
    if (lines.length < 2) continue;
    const seen = new Map<string, Span>();
    const places = new Map<L, Iterator<WithSpan<string>>>();
    for (const line of lines) {
      const what = charged(line, id);
      // A line that names the step twice occurs twice here.
      const mine = places.get(line) ?? line.for.filter(({ value }) => value === id).values();
      places.set(line, mine);
      const { span } = mine.next().value as WithSpan<string>;
      if (what === '') continue;
      const first = seen.get(what);
      if (!first) {
        seen.set(what, span);
        continue;
      }
      yield {
        at: span,
        operation: id,
        message:
          section === 'labour'
            ? say`Two labour lines bill ${what} for ${id}. Remove one, or merge them.`
            : say`Two material lines bill ${what} for ${id}. Remove one, or merge them.`,
        trace: [{ at: first, message: say`${what} for ${id} is first billed here` }],
        fixes: () =>
          line.for.length > 1
            ? []
            : [fix(say`Remove this line`, removeItem(plan.document, section, line.node as AnyNode))],
      };
    }
  }
}
