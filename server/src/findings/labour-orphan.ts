import { isMisplaced, paidTask } from '../costing/owed.ts';
import { addIds, removeItem, setKey } from '../document/edits.ts';
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import type { Step } from '../plan/operations.ts';
import type { Plan } from '../plan/plan.ts';
import type { Finding, Report } from './finding.ts';
import { commonPractice, plansOnly } from './finding.ts';
import { fix } from './mending.ts';

export const labourOrphan: Finding = {
  id: 'labour-orphan',
  title: say`A line that belongs to no work`,
  severity: 'warning',
  means: say`A labour line pays a task that its step does not do, or charges work that is usually inside a published time without a source that says otherwise; or a material line charges an item its step does not use.`,
  why: say`Whoever pays strikes out a line that matches no step, and the step it was meant for stays unpaid.`,
  todo: say`Correct the task, the item or the step; name the item under \`using\`; or show the source.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'lines',
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
  *check({ plan }) {
    const { stepsById, opaque, circles } = plan;
    const known = (id: string): Step | undefined => {
      const step = stepsById.get(id);
      return step && !step.node.broken && !opaque.includes(step) && !circles.includes(step)
        ? step
        : undefined;
    };
    yield* labour(plan, known);
    yield* materials(plan, known);
  },
};

const doing = (plan: Plan, task: string): Phrase =>
  plan.scope.tasks.get(task)?.doing ?? say`following ${task}`;

function* labour(plan: Plan, known: (id: string) => Step | undefined): Generator<Report> {
  for (const line of plan.labour) {
    const { node, task } = line;
    for (const { value: id, span } of line.for) {
      const step = known(id);
      if (!step) continue;
      // Most lines pay what is done, and show where it stands.
      const sound = line.basis === 'included' || line.reference !== undefined;
      const own = paidTask(plan, step);
      if (sound && (!task || task.value === own)) continue;
      if (isMisplaced(plan, line, step)) {
        const named = task!.value;
        if (!plan.scope.tasks.has(named) && !plan.scope.procedures.has(named)) continue;
        yield {
          at: task!.span,
          operation: id,
          message: say`This line pays ${id} for ${doing(plan, named)}, and ${id} is ${doing(plan, own)}. Correct the task, or name the step that is meant.`,
          trace: [{ at: step.span, message: say`${id} is ${doing(plan, own)}` }],
          fixes: () => {
            const paid = plan.labour.some(
              (other) => other.task?.value === own && other.for.some(({ value }) => value === id),
            );
            return line.for.length > 1
              ? []
              : [
                  paid ? undefined : fix(say`Pay ${own}`, [setKey(plan.document, node, 'task', own)]),
                  fix(say`Remove this line`, removeItem(plan.document, 'labour', node)),
                ];
          },
        };
      } else if (!sound && !plan.operationsOf(step).some((operation) => operation.task?.owesLabour)) {
        yield {
          at: span,
          operation: id,
          severity: 'information',
          message: say`${id} (${doing(plan, own)}) is usually inside a published time, and this line shows no source that says otherwise. Add its \`reference\`, or \`basis: included\`.`,
          trace: [{ at: step.span, message: say`${id} is ${doing(plan, own)}` }],
        };
      }
    }
  }
}

function* materials(plan: Plan, known: (id: string) => Step | undefined): Generator<Report> {
  const { consumables } = plan.scope;
  for (const line of plan.materials) {
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
        message: say`This line charges ${item.value} for ${id}, and ${id} does not use it. Name it under \`using\` there, or correct the line.`,
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
