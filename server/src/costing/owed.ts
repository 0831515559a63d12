import { addToGroup, fastFlatMap, emptyList } from '../base/collections.ts';
import type { Fields } from '../document/edits.ts';
import { memoByIdentity } from '../incremental/memo.ts';
import { exactSum } from './decimal.ts';
import { query, sameMembers } from '../incremental/query.ts';
import { chunker } from '../incremental/chunks.ts';
import type { Operation } from '../plan/operations.ts';
import type { Step } from '../plan/steps.ts';
import { bothHalves } from '../plan/steps.ts';
import { operationsWhere, SnapshotPlan } from '../plan/plan.ts';
import type { LabourLine, MaterialLine, Plan } from '../plan/plan.ts';
import { timeFor } from '../plan/rate-sheet.ts';
import type { OneTime, Terms } from '../plan/rate-sheet.ts';
import type { Snapshot } from '../plan/snapshot.ts';
import type { Scope, StudiedTime } from '../plan/scope.ts';

/** Placeholder for a value the estimator must fill in; reported until it is replaced. */
export const fillInMarker = 'fill-in';

/** A labour line that a step of the plan owes. */
export interface OwedLabour {
  readonly step: Step;
  /** The task that is paid; for a step that follows a procedure, the procedure. */
  readonly task: string;
  /** The terms of the shop's own time for it, when the sheet has one. What its entries disagree about is undefined. */
  readonly time: Terms | undefined;
  /** Hours by that time, an exact decimal; undefined without one. */
  readonly hours: number | undefined;
  /** How many hours were taken off, because another step's time contains them. */
  readonly overlap: number;
  readonly written: readonly LabourLine[];
  /** Lines that name the step and a task that is not done in it. */
  readonly misplaced: readonly LabourLine[];
}

/** The task a step is paid for: for one that follows a procedure, the procedure. */
export const paidTask = (plan: Plan, step: Step): string =>
  step.follows?.value ?? plan.operationsOf(step)[0]?.taskId ?? '';

/** Whether a labour line pays for something that is not done in the step it names. A part of a procedure is done in it. */
export const isMisplaced = (plan: Plan, { task }: LabourLine, step: Step): boolean =>
  task !== undefined &&
  task.value !== paidTask(plan, step) &&
  !plan.operationsOf(step).some(({ taskId }) => taskId === task.value);

/** The nearest tenth of an hour: 3 × 0.1 is 0.3. */
export const roundToTenths = (hours: number): number => Math.round(hours * 10) / 10;

/** The labour lines a plan owes, one for each step of its own list that is charged, written or not. */
export const owedLabour = ({ reading }: Plan): readonly OwedLabour[] => owedLabourIn(reading);

/** What is owed for each step, by its id. */
export const owedByStep = memoByIdentity((owed: readonly OwedLabour[]) => {
  const found = new Map<string, OwedLabour[]>();
  for (const one of owed) addToGroup(found, one.step.id, one);
  return found;
});

/** The terms of the shop's own time for what a labour line pays; undefined where the sheet has none. */
export function sheetTimeFor(plan: Plan, { for: paid, task }: LabourLine): Terms | undefined {
  const first = paid[0] && plan.step(paid[0].value);
  const own = task?.value ?? (first ? paidTask(plan, first) : undefined);
  const owed = owedByStep(owedLabour(plan)).get(first?.id ?? '');
  // A part of a procedure that is billed by itself has the terms of its own task.
  return owed?.find((each) => each.task === own)?.time ?? plan.scope.times.get(own ?? '');
}

const owedLabourIn = query((reading: Snapshot): readonly OwedLabour[] => {
  const { labourByStep } = new SnapshotPlan(reading);
  return fastFlatMap(runsOf(owingIn(reading)), (run) => owedInRun(run, labourByStep));
}, sameMembers);
const runsOf = chunker<LabourDue>();
const owedInRun = memoByIdentity((run: readonly LabourDue[], labourByStep: Plan['labourByStep']) =>
  run.map((owing) => owedFor(owing, labourByStep.get(owing.step.id) ?? unpaid)),
);

const unpaid: readonly LabourLine[] = [];

/** A step that owes labour, regardless of the lines written. */
interface LabourDue extends Pick<OwedLabour, 'step' | 'task' | 'time' | 'hours' | 'overlap'> {
  /** The tasks that are done in it. */
  readonly done: readonly string[];
}

const owingIn = query((reading: Snapshot): readonly LabourDue[] => {
  const { operations, operationRuns, scope } = new SnapshotPlan(reading);
  const { times, connectors } = scope;
  const overlaps = overlapsOf(operations, times, connectors);
  const areWhole = operationRuns.every(
    (run, i) => i === 0 || run[0]!.planStep !== operationRuns[i - 1]!.at(-1)!.planStep,
  );
  return overlaps || !areWhole
    ? owingAmong(operations, times, connectors, overlaps)
    : fastFlatMap(operationRuns, (run) => owingInRun(run, times, connectors));
}, sameMembers);

function owingAmong(
  operations: readonly Operation[],
  times: Scope['times'],
  connectors: Scope['connectors'],
  overlaps: Handlings | undefined,
): LabourDue[] {
  const found: LabourDue[] = [];
  for (const own of byPlanStep(operations)) {
    const owing =
      Array.isArray(own) || overlaps
        ? owingOf([own].flat(), times, connectors, overlaps)
        : owingOfOne(own, times, connectors);
    if (owing) found.push(owing);
  }
  return found;
}
/** Of operations that are all of their steps. */
const owingInRun = memoByIdentity(
  (run: readonly Operation[], times: Scope['times'], connectors: Scope['connectors']) =>
    owingAmong(run, times, connectors, undefined),
);

/** Groups operations by plan step, in text order; a single operation is not wrapped in an array. */
function byPlanStep(operations: readonly Operation[]): (Operation | Operation[])[] {
  const found: (Operation | Operation[])[] = [];
  for (let from = 0, to = 1; from < operations.length; from = to++) {
    const operation = operations[from]!;
    while (to < operations.length && operations[to]!.planStep === operation.planStep) to++;
    found.push(to === from + 1 ? operation : operations.slice(from, to));
  }
  return found;
}

/** How often each connector is handled with each task that is billed, and not yet counted as an overlap by another. */
type Handlings = Map<string, number>;
const handling = (task: string, connector: string): string => `${task} ${connector}`;

/** Undefined where no time of the shop overlaps with another: most shops keep none. */
function overlapsOf(
  operations: readonly Operation[],
  times: Scope['times'],
  known: Scope['connectors'],
): Handlings | undefined {
  const each = [...times.values()].flatMap((time): OneTime[] => [time, ...time.byClass.values()]);
  if (each.every(({ overlaps }) => overlaps.length === 0)) return undefined;
  const count: Handlings = new Map();
  for (const { task, taskId, connectors } of operations) {
    if (!task?.owesLabour) continue;
    const time = times.get(taskId);
    for (const { value } of connectors) {
      if (time && timeFor(time, known.get(value)?.class).basis === 'included') continue;
      const name = handling(taskId, value);
      count.set(name, (count.get(name) ?? 0) + 1);
    }
  }
  return count;
}

/** Hours of overlap on these connectors; each handling by the other task is used up by one. */
function commonHours(
  time: StudiedTime,
  connectors: Iterable<string>,
  known: Scope['connectors'],
  left: Handlings,
): number {
  const hours: number[] = [];
  for (const id of connectors) {
    const { overlaps } = timeFor(time, known.get(id)?.class);
    for (const { with: other, hours: common } of overlaps) {
      const name = handling(other, id);
      const count = left.get(name) ?? 0;
      if (count === 0) continue;
      left.set(name, count - 1);
      hours.push(common);
    }
  }
  return exactSum(hours);
}

/** What the operations of one step owe together. */
function owingOf(
  own: readonly Operation[],
  times: Scope['times'],
  known: Scope['connectors'],
  overlaps?: Handlings,
): LabourDue | undefined {
  if (!own.some(({ task }) => task?.owesLabour)) return undefined;
  const { planStep: step, taskId } = own[0]!;
  const task = step.follows?.value ?? taskId;
  const connectors = new Set(fastFlatMap(own, (operation) => operation.connectors.map(({ value }) => value)));
  const classes = [...connectors].map((id) => known.get(id)?.class ?? '').join(' ');
  const done = own.map((one) => one.taskId).join(' ');
  const time = times.get(task);
  const overlap = time && overlaps ? commonHours(time, connectors, known, overlaps) : 0;
  return sameOwing(step, task, time, connectors.size, classes, done, overlap);
}
const owingOfOne = memoByIdentity((operation: Operation, times: Scope['times'], known: Scope['connectors']) =>
  owingOf([operation], times, known),
);

/** The same object as long as nothing about it changes. */
const sameOwing = memoByIdentity(
  (
    step: Step,
    task: string,
    time: StudiedTime | undefined,
    connectors: number,
    classes: string,
    done: string,
    overlap: number,
  ): LabourDue => {
    const entries = time && entriesFor(time, connectors === 0 ? [''] : classes.split(' '));
    return {
      step,
      task,
      time: entries && agreedTerms([...entries.keys()]),
      hours: entries && studiedHours(entries, overlap),
      overlap,
      done: done.split(' '),
    };
  },
);

/**
 * The entries of the sheet that hold for connectors of these classes, and for how many of them. What published times
 * contain is left out beside what they do not.
 */
function entriesFor(time: StudiedTime, classes: readonly string[]): ReadonlyMap<OneTime, number> {
  const counts = new Map<OneTime, number>();
  for (const one of classes) {
    const own = timeFor(time, one);
    counts.set(own, (counts.get(own) ?? 0) + 1);
  }
  const owed = [...counts].filter(([{ basis }]) => basis !== 'included');
  return owed.length > 0 ? new Map(owed) : counts;
}

function agreedTerms([first, ...others]: readonly OneTime[]): Terms {
  const agreed = <K extends keyof Terms>(key: K): OneTime[K] | undefined =>
    others.every((one) => one[key] === first![key]) ? first![key] : undefined;
  return { rate: agreed('rate'), basis: agreed('basis'), reference: agreed('reference') };
}

/**
 * Hours by these entries. Connectors that have one entry in common count together: the first of them, then each
 * further one. Exact decimals; undefined where an entry has no time.
 * @param overlap hours that other steps' times contain
 */
function studiedHours(entries: ReadonlyMap<OneTime, number>, overlap: number): number | undefined {
  const hours: number[] = [];
  let minimum = 0;
  for (const [own, count] of entries) {
    if (own.hours === undefined) return undefined;
    hours.push(own.hours);
    const further = own.further ?? own.hours;
    if (own.per === 'connector') for (let i = 1; i < count; i++) hours.push(further);
    minimum = Math.max(minimum, own.minimum ?? 0);
  }
  return Math.max(minimum, 0, exactSum([...hours, -overlap]));
}

const owedFor = memoByIdentity(
  ({ step, task, time, hours, overlap, done }: LabourDue, lines: readonly LabourLine[]): OwedLabour => {
    const isWritten = (line: LabourLine): boolean => !line.task || line.task.value === task;
    const written = lines.every(isWritten) ? lines : lines.filter(isWritten);
    const misplaced =
      written === lines
        ? emptyList
        : lines.filter((line) => !isWritten(line) && !done.includes(line.task!.value));
    return { step, task, time, hours, overlap, written, misplaced };
  },
);

/** The rate of a sheet that has but one. */
export function onlyRate({ scope }: Plan): string | undefined {
  const [rate, ...others] = scope.names('rate');
  return others.length === 0 ? rate : undefined;
}

export function labourFields(plan: Plan, { step, task, time, hours }: OwedLabour): Fields {
  const rate = time?.rate ?? onlyRate(plan);
  return [
    ['for', step.id],
    ['task', task],
    ['hours', hours === undefined ? fillInMarker : String(hours)],
    ...(rate ? ([['rate', rate]] as const) : []),
    ...(time?.basis ? ([['basis', time.basis]] as const) : []),
    ...(time?.reference ? ([['reference', time.reference]] as const) : []),
  ];
}

/** A material line that a step of the plan owes. */
export interface OwedMaterial {
  readonly step: Step;
  readonly item: string;
  /** How many of the sheet's unit: one for each half of each connector, one for a step without connectors. */
  readonly quantity: number;
  readonly written: readonly MaterialLine[];
}

/** The material lines a plan owes: one for each consumable that a step uses and the sheet charges. */
export const owedMaterials = ({ reading }: Plan): readonly OwedMaterial[] => owedMaterialsIn(reading);

const owedMaterialsIn = query((reading: Snapshot): readonly OwedMaterial[] => {
  const plan = new SnapshotPlan(reading);
  const { consumables } = plan.scope;
  const { materialsByStep } = plan;
  return fastFlatMap(byPlanStep(taking(plan)), (own) => {
    const { planStep } = Array.isArray(own) ? own[0]! : own;
    const written = materialsByStep.get(planStep.id) ?? emptyList;
    return Array.isArray(own)
      ? materialsOf(own, consumables, written)
      : materialsOfOne(own, consumables, written);
  });
}, sameMembers);
const taking = operationsWhere(({ using }) => using.length > 0);

/** What the operations of one step take together. */
function materialsOf(
  own: readonly Operation[],
  consumables: Scope['consumables'],
  lines: readonly MaterialLine[],
): OwedMaterial[] {
  const quantities = new Map<string, number>();
  for (const { using, taskId, halves, connectors } of own) {
    const quantity =
      Math.max(1, connectors.length) * (taskId === 'cover' ? Math.min(halves.length, bothHalves.length) : 1);
    for (const { value: item } of using) {
      if (!consumables.get(item)?.charged) continue;
      quantities.set(item, (quantities.get(item) ?? 0) + quantity);
    }
  }
  const { planStep: step } = own[0]!;
  return [...quantities].map(([item, quantity]) => ({
    step,
    item,
    quantity,
    written: lines.filter((line) => line.item?.value === item),
  }));
}
const materialsOfOne = memoByIdentity(
  (operation: Operation, consumables: Scope['consumables'], lines: readonly MaterialLine[]) =>
    materialsOf([operation], consumables, lines),
);

export function materialFields({ step, item, quantity }: OwedMaterial): Fields {
  return [
    ['for', step.id],
    ['item', item],
    ['quantity', String(quantity)],
  ];
}
