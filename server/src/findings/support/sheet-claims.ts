/** What rows of the rate sheet say of built-in tasks, or of proofs, that cannot be right. */
import { andList, say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import type { Plan } from '../../plan/plan.ts';
import type { ReportedSeverity } from '../../plan/snapshot.ts';
import { operationsWhere } from '../../plan/plan.ts';
import {
  contrary,
  effects,
  madeCleanly,
  madeWithoutFire,
  makesSafe,
  measuredProofs,
  measures,
} from '../../plan/tables/effects.ts';
import type { FactId } from '../../plan/tables/effects.ts';
import { conductsByName, washesByName } from '../../plan/tables/own-names.ts';
import { builtInTasks, hazardReaches, hazardWords } from '../../plan/tables/tasks.ts';
import type { Hazard, Task } from '../../plan/tables/tasks.ts';
import type { Span } from '../../text/span.ts';
import type { Trace } from '../finding.ts';
import { named, valueSpan } from './words.ts';

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
  yield* contradictions(plan);
  yield* metals(plan);
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
      builtIn && (!makesAnything(task.id) || isBeyond(fact, task.id))
        ? true
        : (task.id !== 'prove-dead' && (fact === 'high-voltage-dead' || fact === 'proof-fresh')) ||
          (!builtIn && isElsewhere(fact, task)),
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

/** Rows that make two things certain which cannot hold together: whatever needs one of them is taken for safe. */
function* contradictions(plan: Plan): Generator<Implausible> {
  for (const task of plan.scope.tasks.values()) {
    const both = contrary.find((pair) => pair.every((fact) => task.makes.includes(fact)));
    const [step] = both ? plan.operationsDoing(task.id) : [];
    if (!both || !step) continue;
    yield {
      at: step.span,
      operation: step.id,
      severity: 'error',
      message: say`By the rate sheet ${named(step)} makes certain both \`${both[0]}\` and \`${both[1]}\`, which cannot hold together, and the steps after it are checked as if both did. Leave under \`makes\` of ${task.id} how things stand when it is done, and write the other under \`ends\`.`,
    };
  }
}

/** Covers of metal that the sheet states not to conduct, and metal bristles and wool. */
function* metals(plan: Plan): Generator<Implausible> {
  const told = new Set<string>();
  for (const step of using(plan)) {
    for (const mention of step.using) {
      const { value } = mention;
      const item = plan.scope.consumables.get(value);
      if (!item?.nonConductive || told.has(value) || !conductsByName(item)) continue;
      told.add(value);
      yield {
        at: valueSpan(plan, step, mention),
        operation: step.id,
        severity: 'error',
        message: say`The rate sheet states that ${value} ("${item.name}") does not conduct, and by its name it does: on the contacts of ${named(step)} it bridges them. Use what the vehicle maker specifies, or correct the name or \`non-conductive\`.`,
        trace: [{ at: item.span, message: say`${value} in the rate sheet` }],
      };
    }
  }
}

const using = operationsWhere((step) => step.using.length > 0);

/** Whether a built-in task has nothing to do with a fact that its row claims: a proof, a system made safe, a closed plug. */
const isBeyond = (fact: FactId, task: string): boolean =>
  (madeCleanly.has(fact) && !makesSafe.has(task)) ||
  (measuredProofs.has(fact) && !measures.has(task)) ||
  (fact === 'closed' && task !== 'reconnect');

/** Whether no step of such a task makes a fact, by what it raises or by its name. */
const isElsewhere = (fact: FactId, { id, raises }: Task): boolean =>
  (madeCleanly.has(fact) && (raises.some((hazard) => flying.has(hazard)) || washesByName(id))) ||
  (madeWithoutFire.has(fact) && raises.some((hazard) => burning.has(hazard)));
const flying: ReadonlySet<Hazard> = new Set<Hazard>(['dust', 'conductive-debris', 'overspray', 'spatter']);
const burning: ReadonlySet<Hazard> = new Set<Hazard>(['heat', 'spatter']);

/** Whether a task makes any fact by the table of effects. */
const makesAnything = (task: string): boolean =>
  Object.values(effects).some(({ makes }) => makes.some(({ tasks }) => tasks.includes(task)));
