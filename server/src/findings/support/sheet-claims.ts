/** What rows of the rate sheet say of built-in tasks, or of proofs, that cannot be right. */
import { andList, say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import type { Plan } from '../../plan/plan.ts';
import type { ReportedSeverity } from '../../plan/snapshot.ts';
import { effects } from '../../plan/tables/effects.ts';
import { builtInTasks, hazardReaches, hazardWords } from '../../plan/tables/tasks.ts';
import type { Span } from '../../text/span.ts';
import type { Trace } from '../finding.ts';
import { named } from './words.ts';

/** A value or a row that cannot be right. */
export interface Implausible {
  readonly at: Span;
  readonly message: Phrase;
  readonly trace?: readonly Trace[];
  readonly connector?: string;
  readonly operation?: string;
  readonly severity?: ReportedSeverity;
}

export function* sheetClaims(plan: Plan): Generator<Implausible> {
  yield* claims(plan);
  yield* withheld(plan);
}

/** Rows of the shop's that take hazards away from a built-in task, or let them reach less far: nothing that they reach is then looked at. */
function* withheld(plan: Plan): Generator<Implausible> {
  for (const task of plan.scope.tasks.values()) {
    const builtIn = builtInTasks.get(task.id);
    if (!builtIn || builtIn === task) continue;
    const lacking = builtIn.raises.filter((hazard) => !task.raises.includes(hazard));
    const isNearer =
      builtIn.raises.length > 0 && hazardReaches.indexOf(task.reach) < hazardReaches.indexOf(builtIn.reach);
    const [step] = lacking.length > 0 || isNearer ? plan.operationsDoing(task.id) : [];
    if (!step) continue;
    if (lacking.length === 0) {
      yield {
        at: step.span,
        operation: step.id,
        message: say`The rate sheet lets what ${named(step)} raises reach less far than it flies, so no connector beside it is looked at. Take \`reach\` out of ${task.id}, or give the milder work a task of its own.`,
      };
      continue;
    }
    yield {
      at: step.span,
      operation: step.id,
      message: say`The rate sheet takes ${andList(lacking.map((hazard) => hazardWords[hazard]))} away from ${named(step)}, so no connector that they reach is looked at. Write them under \`raises\` of ${task.id}, or give the milder work a task of its own.`,
    };
  }
}

/** Tasks that do nothing of what is to be certain, and a proof that is none: a row of the shop's lets them make it all the same. */
function* claims(plan: Plan): Generator<Implausible> {
  for (const task of plan.scope.tasks.values()) {
    const builtIn = builtInTasks.get(task.id);
    const claimed = task.makes.find((fact) =>
      builtIn && !makesAnything(task.id)
        ? true
        : task.id !== 'prove-dead' && (fact === 'high-voltage-dead' || fact === 'proof-fresh'),
    );
    const [step] = claimed === undefined ? [] : plan.operationsDoing(task.id);
    if (claimed === undefined || !step) continue;
    yield {
      at: step.span,
      operation: step.id,
      severity: 'error',
      message:
        claimed === 'high-voltage-dead' || claimed === 'proof-fresh'
          ? say`The rate sheet lets ${named(step)} count as a proof that the high-voltage system is dead, and only \`prove-dead\` is held to meter, gloves and place. Take \`${claimed}\` out of its \`makes\`, and prove the system dead by \`prove-dead\`.`
          : say`The rate sheet lets ${named(step)} make certain that ${effects[claimed].holds}, which that task does not do, so the step that does it is missed by nobody. Take \`${claimed}\` out of its \`makes\`, or give the work a task of its own.`,
    };
  }
}

/** Whether a task makes any fact by the table of effects. */
const makesAnything = (task: string): boolean =>
  Object.values(effects).some(({ makes }) => makes.some(({ tasks }) => tasks.includes(task)));
