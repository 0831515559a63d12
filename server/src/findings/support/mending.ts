import { addIds, addToSection, insertItem, moveItem, setKey } from '../../document/edits.ts';
import type { Fields } from '../../document/edits.ts';
import { rangeOf } from '../../text/span.ts';
import type { Edit } from '../../text/span.ts';
import { andList, say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import { isolates } from '../../plan/high-voltage.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Step } from '../../plan/steps.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Connector } from '../../plan/scope.ts';
import { needsGloves } from '../../plan/tables/needs.ts';
import { sequenceOf } from '../../sequence/lives.ts';
import { personFor, safetyTasks } from './people.ts';
import type { Fix } from '../finding.ts';

/** The order in which the sections of a plan are written. */
const sectionOrder = [
  'plan',
  'title',
  'vehicle',
  'uses',
  'sources',
  'zones',
  'heat-budget',
  'connectors',
  'operations',
  'labour',
  'materials',
  'measurements',
  'evidence',
  'sign-offs',
  'accepted',
  'note',
];

/** A step to be written: its task and what else its line says. */
export interface NewStep {
  readonly task: string;
  /** The task is a procedure of the shop, which the step follows. */
  readonly follows?: true;
  readonly fields: Fields;
  /** `nobody` leaves open who does it where the rate sheet lists nobody who may; otherwise it is the person of the step beside it. */
  readonly by?: 'nobody';
}

/** The id of a step without the suffix that a fix appended: `op20` for `op20-cover` and `op20-cover-2`. */
function stemOf({ id, node }: Step): string {
  const task = node.get('do')?.value;
  const at = task === undefined ? -1 : id.lastIndexOf(`-${task}`);
  return at > 0 && /^(-\d+)?$/.test(id.slice(at + 1 + task!.length)) ? id.slice(0, at) : id;
}

/** A step's id that the plan does not use yet, made from its neighbour's. */
function freshId(plan: Plan, base: string, taken: Set<string>): string {
  const used = (id: string): boolean => taken.has(id) || plan.steps.some((step) => step.id === id);
  let id = base;
  for (let n = 2; used(id); n++) id = `${base}-${n}`;
  taken.add(id);
  return id;
}

function written(
  plan: Plan,
  neighbour: Step,
  steps: readonly NewStep[],
): { ids: string[]; fields: Fields[] } {
  const taken = new Set<string>();
  const stem = stemOf(neighbour);
  const ids = steps.map(({ task }) => freshId(plan, `${stem}-${task}`, taken));
  // `time` is left out: nobody has stated it.
  const beside = neighbour.node.get('by')?.value;
  const listed = plan.scope.people !== undefined;
  const fields = steps.map(({ task, follows, fields: more, by }, i): Fields => {
    if (follows) return [['id', ids[i]!], ['follow', task], ...more];
    const person = by === 'nobody' && !listed ? undefined : personFor(plan, task, connectorsOf(more), beside);
    return [
      ['id', ids[i]!],
      ['do', task],
      ...more,
      ...statedElsewhere(plan, task, more),
      ...(person === undefined ? [] : ([['by', person]] as const)),
    ];
  });
  return { ids, fields };
}

const connectorsOf = (fields: Fields): readonly string[] =>
  fields
    .filter(([key]) => key === 'connectors')
    .flatMap(([, value]) => value.replace(/[[\]\s]/g, '').split(','));

/** What another step of the same task in the plan states of gloves and meter. */
export function statedElsewhere(plan: Plan, task: string, fields: Fields): Fields {
  const own = new Set(fields.map(([key]) => key));
  // A connector whose opening is the isolation is handled live, with the same gloves each time.
  const isolating = connectorsOf(fields).filter((id) => isolates(plan, id));
  const handled = isolating.flatMap((id) => sequenceOf(plan).life(id)?.operations ?? []);
  const same = safetyTasks.includes(task) ? plan.operationsDoing(task) : handled;
  // Isolating and proving dead are done with the same gloves.
  const gloved = needsGloves.has(task) ? [...needsGloves].flatMap((one) => plan.operationsDoing(one)) : [];
  return (['meter-rating', 'meter-proven', 'glove-class', 'proven-at'] as const).flatMap((key) => {
    if (own.has(key)) return [];
    for (const { step } of key === 'glove-class' ? [...same, ...gloved] : same) {
      const node = step.node.entry(key)?.value;
      const document = [plan.document, ...plan.scope.used].find(({ uri }) => uri === step.uri);
      if (!node || !document) continue;
      const { start, end } = rangeOf(node.span);
      const text = document.text.slice(start, end);
      if (!text.startsWith('$')) return [[key, text] as const];
    }
    return [];
  });
}

/** Several new entries at one place, as one insertion. */
function insertSteps(plan: Plan, position: number, fields: readonly Fields[]): Edit[] {
  const list = plan.stepList;
  return fields.flatMap((one) => (list && insertItem(plan.document, list, position, one)) ?? []);
}

/**
 * New steps right after `anchor`, one after the other, and before `followers`: where the text alone would not make
 * a follower wait for them, it is told to.
 */
export function insertAfter(
  plan: Plan,
  anchor: Step,
  steps: readonly NewStep[],
  followers: readonly Step[],
): readonly Edit[] {
  const next = plan.steps[plan.steps.indexOf(anchor) + 1];
  const { ids, fields } = written(plan, anchor, steps);
  const last = ids.at(-1)!;
  const edits = insertSteps(plan, plan.indexInList(anchor) + 1, fields);
  // The steps that will wait for the new ones, directly or through others.
  const behind = next && !next.after ? [next] : [];
  const follows = (step: Step): boolean => behind.some((one) => one === step || stepBefore(plan, one, step));
  const direct = plan.steps.filter((step) => step.after?.some(({ value }) => value === anchor.id));
  for (const follower of firstOf(plan, followers)) {
    if (follows(follower)) continue;
    const waiting = direct.find((step) => step === follower || stepBefore(plan, step, follower));
    edits.push(waiting ? waitInstead(plan, waiting, anchor.id, last) : waitFor(plan, follower, [last]));
    behind.push(waiting ?? follower);
  }
  return edits;
}

/** Steps in an order the plan allows, without those that come after another of them anyway. */
function firstOf(plan: Plan, steps: readonly Step[]): readonly Step[] {
  const all = [...new Set(steps)];
  return all.filter((step) => !all.some((other) => other !== step && stepBefore(plan, other, step)));
}

/** Makes a step wait for `id` in place of `former`, which `id` waits for itself. */
function waitInstead(plan: Plan, step: Step, former: string, id: string): Edit {
  const ids = step.after!.map(({ value }) => (value === former ? id : value));
  return rewait(plan, step, ids) ?? addIds(plan.document, step.node, 'after', [id]);
}

/** Writes `after` anew; undefined where the list is written over several lines, which may hold comments. */
function rewait(plan: Plan, step: Step, ids: readonly string[]): Edit | undefined {
  const node = step.node.entry('after')?.value;
  if (!node) return undefined;
  const { start, end } = rangeOf(node.span);
  if (plan.document.text.slice(start, end).includes('\n')) return undefined;
  return setKey(plan.document, step.node, 'after', `[${[...new Set(ids)].join(', ')}]`);
}

/**
 * New steps right before `target`, one after the other; `target` waits for the last of them, and the first of them
 * waits for `others`, where it would not anyway.
 */
export function insertBefore(
  plan: Plan,
  target: Step,
  steps: readonly NewStep[],
  others: readonly Step[] = [],
): readonly Edit[] {
  const above = plan.steps[plan.steps.indexOf(target) - 1];
  const { ids, fields } = written(plan, target, steps);
  const before = target.after ? target.after.map(({ value }) => value) : above ? [above.id] : [];
  const more = [...new Set(others)].filter((other) => !stepBefore(plan, other, target)).map(({ id }) => id);
  const waits = [...before, ...more.filter((id) => !before.includes(id))];
  const first: Fields =
    target.after || more.length > 0 ? [...fields[0]!, ['after', `[${waits.join(', ')}]`]] : fields[0]!;
  const edits = insertSteps(plan, plan.indexInList(target), [first, ...fields.slice(1)]);
  const last = ids.at(-1)!;
  return target.after
    ? [...edits, rewait(plan, target, [last]) ?? addIds(plan.document, target.node, 'after', [last])]
    : edits;
}

/** All that `step` waits for once it waits for `ids` as well: the list to be written after `after`. */
export function waitsWith(plan: Plan, step: Step, ids: readonly string[]): readonly string[] {
  const above = plan.steps[plan.steps.indexOf(step) - 1];
  const now = step.after ? step.after.map(({ value }) => value) : above ? [above.id] : [];
  return [...new Set([...now, ...ids])];
}

/** Makes `step` wait for the steps named by `ids` too, on top of what it waits for now. */
export function waitFor(plan: Plan, step: Step, ids: readonly string[]): Edit {
  if (step.after) return addIds(plan.document, step.node, 'after', ids);
  return setKey(plan.document, step.node, 'after', `[${waitsWith(plan, step, ids).join(', ')}]`);
}

/**
 * Moves a step with an explicit `after` ahead of `others`, which now precede it: it waits for `anchor`
 * instead of them and what follows them, and they wait for it.
 */
export function putBefore(plan: Plan, step: Step, anchor: Step, others: readonly Step[]): readonly Edit[] {
  if (!step.after || step.caller) return [];
  const known = new Map(plan.steps.map((one) => [one.id, one]));
  const kept = step.after.filter(({ value }) => {
    const waited = known.get(value);
    return waited && others.every((other) => other !== waited && !stepBefore(plan, other, waited));
  });
  const waits = new Set([anchor.id, ...kept.map(({ value }) => value)]);
  return [
    setKey(plan.document, step.node, 'after', `[${[...waits].join(', ')}]`),
    ...others.map((other) => waitFor(plan, other, [step.id])),
  ];
}

/**
 * Moves a step with an explicit `after` behind `others`, which now wait for it: they take over its `after`,
 * it waits for them, and what comes right after them waits for it too.
 */
export function putAfter(plan: Plan, step: Step, others: readonly Step[]): readonly Edit[] {
  if (!step.after || step.caller) return [];
  const before = step.after.map(({ value }) => value);
  const waitsOf = (one: Step): readonly string[] => {
    const above = plan.steps[plan.steps.indexOf(one) - 1];
    return one.after?.map(({ value }) => value) ?? (above ? [above.id] : []);
  };
  const write = (one: Step, waits: readonly string[]): Edit =>
    setKey(plan.document, one.node, 'after', `[${[...new Set(waits)].join(', ')}]`);
  const edits = [write(step, [...before, ...others.map(({ id }) => id)])];
  for (const one of plan.steps) {
    const waits = waitsOf(one);
    if (one === step) continue;
    if (others.includes(one)) {
      if (waits.includes(step.id))
        edits.push(write(one, [...waits.filter((id) => id !== step.id), ...before]));
    } else if (others.some(({ id }) => waits.includes(id)) && !waits.includes(step.id)) {
      edits.push(waitFor(plan, one, [step.id]));
    }
  }
  return edits;
}

/** Moves a step of the plan to right after `anchor` or right before it. */
export function moveStep(plan: Plan, step: Step, place: 'after' | 'before', anchor: Step): readonly Edit[] {
  const list = plan.stepList;
  if (step.after || !list || step.caller || anchor.caller) return [];
  return moveItem(
    plan.document,
    list,
    plan.indexInList(step),
    plan.indexInList(anchor) + (place === 'after' ? 1 : 0),
  );
}

export function stepBefore(plan: Plan, a: Step, b: Step): boolean {
  const { order } = sequenceOf(plan);
  return plan.operationsOf(a).every((x) => plan.operationsOf(b).every((y) => order.before(x, y)));
}

/** A new labour or material line or acceptance, or nothing when the plan's text has no place for it. */
export function addLine(
  plan: Plan,
  section: 'labour' | 'materials' | 'accepted',
  fields: Fields,
): readonly Edit[] {
  const edit = addToSection(plan.document, section, fields, sectionOrder);
  return edit ? [edit] : [];
}

/** Fixes that change the order of work are never safe; they must be requested explicitly. */
export function fix(title: Phrase, edits: readonly Edit[], safe = false): Fix | undefined {
  return edits.length > 0 ? { title, safe, edits } : undefined;
}

/**
 * The consumables to cover a connector with, as its maker requires, best first: the maker's dummy plug; tape
 * that is stated non-conductive and highly visible. Undefined when the shop's sheet has none, and for a line whose medium
 * loosens tape or pushes it off, unless the sheet has a plug that is made for the line.
 */
export function bestCover(plan: Plan, connector: Connector, wet: boolean): readonly string[] | undefined {
  const goods = [...plan.scope.consumables.values()];
  const plug = goods.find(({ kind, fits }) => kind === 'dummy-plug' && fits.includes(connector.id));
  if (plug) return [plug.id];
  if (!holdsTape(connector)) return undefined;
  const plugs = goods.filter(({ kind, fits }) => kind === 'dummy-plug' && fits.length === 0);
  // A plug that the plan puts on connectors of another class is made for those.
  const foreign = plan
    .operationsDoing('cover')
    .filter(({ connectors }) =>
      connectors.some(({ value }) => plan.scope.connectors.get(value)?.class !== connector.class),
    )
    .flatMap(({ using }) => using.map(({ value }) => value));
  const general = plugs.find(({ id }) => !foreign.includes(id)) ?? plugs[0];
  if (connector.makerCover === 'dummy-plug') return general && [general.id];
  const tape = goods.find(
    ({ kind, nonConductive, highVisibility }) => kind === 'tape' && nonConductive && highVisibility,
  );
  const bag = wet ? goods.find(({ kind, tied }) => kind === 'bag' && tied) : undefined;
  if (!tape || (wet && !bag)) return undefined;
  return bag ? [tape.id, bag.id] : [tape.id];
}

/** Whether tape holds on an opened half: not on lines of fuel, gas, refrigerant or stored pressure, nor where nobody says what flows. */
const holdsTape = ({ class: kind, medium }: Connector): boolean =>
  kind !== 'fluid-line' || medium === 'coolant' || medium === 'other';

/** A new step for one connector. */
export const stepOn = (task: string, connector: string, more: Fields = []): NewStep => ({
  task,
  fields: [['connectors', `[${connector}]`], ...more],
});

export const inList = (ids: readonly string[]): string =>
  ids.length === 1 ? ids[0]! : `[${ids.join(', ')}]`;

/** Makes the plan step of `operation` wait for those of others. */
export function onlyAfter(
  plan: Plan,
  { planStep }: Operation,
  ...others: readonly Operation[]
): Fix | undefined {
  const ids = [...new Set(others.map((other) => other.planStep.id))];
  return fix(say`Do ${planStep.id} only after ${andList(ids)}`, [waitFor(plan, planStep, ids)]);
}

/** Makes `target` wait for a step of the plan that does `task`; where none could come first, writes one before it. */
export function orderOrAdd(plan: Plan, target: Operation, task: string, title: Phrase): Fix | undefined {
  const { order } = sequenceOf(plan);
  const ready = plan.operationsDoing(task).find((step) => !order.before(target, step));
  return ready
    ? onlyAfter(plan, target, ready)
    : fix(title, insertBefore(plan, target.planStep, [{ task, fields: [], by: 'nobody' }]));
}
