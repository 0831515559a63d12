import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { parse } from 'yaml';
import { check } from '../../server/src/features/check.ts';
import type { Workspace } from '../../server/src/workspace/workspace.ts';
import { workspaceOf } from '../support/files.ts';
import { written } from './mutations.ts';
import { today } from './runs.ts';

/** A plan or procedure with one slip of the hand, whether or not a rule of the trade makes it a mistake. */
export interface Mutant {
  /** "delete wait", "swap cover and disconnect", "drop `after` of cut". */
  readonly kind: string;
  /** Steps and connectors it is about, for whoever reads the list. */
  readonly about: string;
  readonly file: string;
  readonly text: string;
}

interface Step {
  id: string;
  do?: string;
  follow?: string;
  after?: string[];
  [key: string]: unknown;
}
interface PlanText {
  operations: Step[];
  measurements?: { after?: string }[];
}

const folder = path.join(import.meta.dirname, 'plans');
/** The eight clean plans of the invented training bay, and what they use. */
const trainingFiles: Readonly<Record<string, string>> = Object.fromEntries(
  readdirSync(folder)
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => [name, readFileSync(path.join(folder, name), 'utf8')]),
);
export const trainingPlans = Object.keys(trainingFiles).filter((name) => name.endsWith('.repair-plan.yaml'));

const list = (value: unknown): string[] => (value === undefined ? [] : ([value].flat() as string[]));
const taskOf = (step: Step): string => step.do ?? step.follow ?? '';

/** The steps of `list` that the one at `place` waits for. */
const waits = (steps: readonly Step[], place: number): string[] =>
  steps[place]!.after ?? steps.slice(Math.max(0, place - 1), place).map(({ id }) => id);

/** Takes a step out; whoever waited for it waits for what it waited for. */
function without(plan: PlanText, place: number): PlanText {
  const { operations } = plan;
  const { id } = operations[place]!;
  const before = waits(operations, place);
  const rest = operations
    .map((step, i) =>
      step.after
        ? { ...step, after: [...new Set(step.after.flatMap((one) => (one === id ? before : [one])))] }
        : i === place + 1
          ? { ...step, after: before }
          : step,
    )
    .filter((_, i) => i !== place);
  const readings = plan.measurements?.map(({ after, ...one }) => ({
    ...one,
    ...(after && after !== id ? { after } : {}),
  }));
  return { ...plan, operations: rest, ...(readings ? { measurements: readings } : {}) };
}

/** Exchanges what two neighbours do; places, ids and waits stay. Readings stay with what measured them. */
function swapped(plan: PlanText, place: number): PlanText {
  const [a, b] = [plan.operations[place]!, plan.operations[place + 1]!];
  const at = ({ id, after }: Step, { after: _, ...body }: Step): Step => ({
    ...body,
    id,
    ...(after ? { after } : {}),
  });
  const operations = plan.operations.with(place, at(a, b)).with(place + 1, at(b, a));
  const moved = new Map([
    [a.id, b.id],
    [b.id, a.id],
  ]);
  const readings = plan.measurements?.map((one) => ({
    ...one,
    ...(one.after ? { after: moved.get(one.after) ?? one.after } : {}),
  }));
  return { ...plan, operations, ...(readings ? { measurements: readings } : {}) };
}

/** Every mutant of one file. `nobody` is a person whom the sheet allows nothing. */
export function* mutantsOf(file: string, nobody = 'body-c'): Generator<Mutant> {
  const plan = parse(trainingFiles[file]!) as PlanText;
  const { operations } = plan;
  const made = (kind: string, about: string, changed: PlanText): Mutant => ({
    kind,
    about,
    file,
    text: written(changed),
  });
  const withStep = (place: number, step: Step): PlanText => ({
    ...plan,
    operations: operations.with(place, step),
  });
  for (const [place, step] of operations.entries()) {
    const task = taskOf(step);
    const about = `${step.id} ${list(step['connectors']).join(' ')}`.trim();
    yield made(`delete ${task}`, about, without(plan, place));
    const next = operations[place + 1];
    if (next) yield made(`swap ${task} and ${taskOf(next)}`, `${about} / ${next.id}`, swapped(plan, place));
    for (const key of [
      'after',
      'zone',
      'connectors',
      'using',
      'glove-class',
      'meter-proven',
      'discharged',
      'drive-wheels',
      'time',
    ]) {
      if (step[key] === undefined) continue;
      const { [key]: _, ...rest } = step;
      yield made(`drop \`${key}\` of ${task}`, about, withStep(place, rest as Step));
    }
    const connectors = list(step['connectors']);
    if (connectors.length > 1) {
      for (const one of connectors) {
        const rest = connectors.filter((other) => other !== one);
        yield made(
          `drop one connector of ${task}`,
          `${step.id} ${one}`,
          withStep(place, { ...step, connectors: rest }),
        );
      }
    }
    if (step['halves'] !== undefined)
      yield made(`only one half of ${task}`, about, withStep(place, { ...step, halves: 'plug' }));
    if (step['by'] !== undefined && step['by'] !== nobody)
      yield made(`\`by\` nobody who may: ${task}`, about, withStep(place, { ...step, by: nobody }));
    // A step that is ordered by its place alone, begun at once with its neighbour.
    if (step.after === undefined && place > 1)
      yield made(
        `start ${task} beside ${taskOf(operations[place - 1]!)}`,
        about,
        withStep(place, { ...step, after: waits(operations, place - 1) }),
      );
  }
}

/** Findings that are about the text or the bill and say nothing of danger. */
const aside: ReadonlySet<string> = new Set(['unused-id', 'blank-to-fill']);

/** The findings of a plan among the training files, with one of them replaced. */
export function findingsWith(
  clean: Workspace,
  plan: string,
  mutant?: Pick<Mutant, 'file' | 'text'>,
): string[] {
  const workspace = clean.fork();
  if (mutant) workspace.set(`file:///plans/${mutant.file}`, mutant.text);
  return check(workspace, `file:///plans/${plan}`, { today })
    .map(({ finding }) => finding)
    .filter((finding) => !aside.has(finding));
}

export const trainingWorkspace = (): Workspace =>
  workspaceOf({
    ...trainingFiles,
    ...Object.fromEntries(
      trainingPlans.map((name) => [name, written(parse(trainingFiles[name]!) as object)]),
    ),
  });
