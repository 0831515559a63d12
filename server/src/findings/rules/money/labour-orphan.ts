import { fastFlatMap } from '../../../base/collections.ts';
import { isMisplaced, owedLabour, owedMaterials, paidTask } from '../../../costing/owed.ts';
import { addIds, removeItem, setKey } from '../../../document/edits.ts';
import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import type { Step } from '../../../plan/steps.ts';
import type { LabourLine, Plan } from '../../../plan/plan.ts';
import type { FindingRule, FindingReport } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { fix } from '../../support/mending.ts';

export const labourOrphan: FindingRule = {
  id: 'labour-orphan',
  title: say`A line that matches no step`,
  severity: 'warning',
  page: () => ({
    means: say`A labour line bills a task that its step does not do, or bills work that is usually inside a published time without a source that says otherwise; or a material line bills an item its step does not use.`,
    why: say`The payer strikes out a line that matches no step, and the step it was meant for stays unpaid.`,
    whatToDo: say`Correct the task, the item or the step; name the item under \`using\`; or show the source.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
labour:
  - { for: op20, task: cover, hours: 0.2, rate: electrical }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
labour:
  - { for: op20, task: disconnect, hours: 0.3, rate: electrical }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'lines',
  *check({ plan }) {
    const unknown = new Set([...plan.unknownCalls, ...plan.recursiveCalls]);
    const known = (id: string): Step | undefined => {
      const step = plan.step(id);
      return step && !step.node.partlyParsed && !unknown.has(step) ? step : undefined;
    };
    for (const { step, lines, owes } of doubtfulLabour(plan)) {
      if (known(step.id) !== step) continue;
      for (const line of lines) yield* labour(plan, step, line, owes);
    }
    yield* materials(plan, known);
  },
};

const doing = (plan: Plan, task: string): Phrase =>
  plan.scope.tasks.get(task)?.doing ?? say`following ${task}`;

interface Doubtful {
  readonly step: Step;
  readonly lines: Iterable<LabourLine>;
  /** Whether labour is owed for the step at all. */
  readonly owes: boolean;
}

/** Lines whose task is not done in their step, and all lines of steps that owe no labour. */
function doubtfulLabour(plan: Plan): Doubtful[] {
  const { labourByStep } = plan;
  const found: Doubtful[] = [];
  const owed = owedLabour(plan);
  let next = 0;
  for (const step of plan.steps) {
    if (owed[next]?.step === step) {
      const lines = owed[next++]!.misplaced;
      if (lines.length > 0) found.push({ step, lines: new Set(lines), owes: true });
      continue;
    }
    const lines = labourByStep.get(step.id);
    if (lines) found.push({ step, lines: new Set(lines), owes: false });
  }
  return found;
}

function* labour(plan: Plan, step: Step, line: LabourLine, owes: boolean): Generator<FindingReport> {
  const { node, task } = line;
  const { id } = step;
  // Fast path: most lines cite a source (or are included) and pay for their own step.
  const sound = line.basis === 'included' || line.reference !== undefined;
  const own = paidTask(plan, step);
  if (sound && (!task || task.value === own)) return;
  const misplaced = isMisplaced(plan, line, step);
  if (misplaced && !plan.scope.tasks.has(task!.value) && !plan.scope.procedures.has(task!.value)) return;
  for (const { span } of line.for.filter(({ value }) => value === id)) {
    if (misplaced) {
      yield {
        at: task!.span,
        operation: id,
        message: say`This line bills ${id} for ${doing(plan, task!.value)}, but ${id} is ${doing(plan, own)}. Correct the task, or name the step that is meant.`,
        trace: [{ at: step.span, message: say`${id} is ${doing(plan, own)}` }],
        fixes: () => {
          const paid = plan.labour.some(
            (other) => other.task?.value === own && other.for.some(({ value }) => value === id),
          );
          return line.for.length > 1
            ? []
            : [
                paid ? undefined : fix(say`Bill ${own} instead`, [setKey(plan.document, node, 'task', own)]),
                fix(say`Remove this line`, removeItem(plan.document, 'labour', node)),
              ];
        },
      };
    } else if (!sound && !owes) {
      yield {
        at: span,
        operation: id,
        severity: 'information',
        message: say`${id} (${doing(plan, own)}) is usually part of a published time, and this line gives no source that says otherwise. Add its \`reference\`, or write \`basis: included\`.`,
        trace: [{ at: step.span, message: say`${id} is ${doing(plan, own)}` }],
      };
    }
  }
}

function* materials(plan: Plan, known: (id: string) => Step | undefined): Generator<FindingReport> {
  const { materials: lines, scope } = plan;
  const { consumables } = scope;
  const sound = new Set(fastFlatMap(owedMaterials(plan), ({ written }) => written));
  for (const line of lines.filter((one) => one.for.length > 1 || !sound.has(one))) {
    const { item, node } = line;
    if (!item || !consumables.has(item.value)) continue;
    for (const { value: id } of line.for) {
      const step = known(id);
      if (!step) continue;
      const used = plan
        .operationsOf(step)
        .some(({ using }) => using.some(({ value }) => value === item.value));
      if (used) continue;
      yield {
        at: item.span,
        operation: id,
        message: say`This line bills ${item.value} for ${id}, but ${id} does not use it. Name it under \`using\` there, or correct the line.`,
        trace: [{ at: step.span, message: say`${id} is ${doing(plan, paidTask(plan, step))}` }],
        fixes: () => [
          line.for.length > 1
            ? undefined
            : fix(say`Remove this line`, removeItem(plan.document, 'materials', node)),
          step.follows
            ? undefined
            : fix(say`Say that ${id} uses ${item.value}`, [
                addIds(plan.document, step.node, 'using', [item.value]),
              ]),
        ],
      };
    }
  }
}
