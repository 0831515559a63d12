import { emptyList } from '../base/collections.ts';
import type { Document } from '../document/document.ts';
import { mapsIn } from '../document/node.ts';
import { memoByIdentity } from '../incremental/memo.ts';
import type { MapNode } from '../document/node.ts';
import type { Span } from '../text/span.ts';
import type { ShopProcedure } from '../generated/shop-procedure.ts';
import type { WithSpan, Bindings } from './read.ts';
import type { Scope } from './scope.ts';
import { noBindings } from './read.ts';
import { readSteps } from './steps.ts';
import type { Step } from './steps.ts';

/** Procedures that follow procedures can multiply; a plan beyond this limit is rejected. Unit: operations. */
export const operationLimit = 8_000;

/**
 * The dependency graph of a list of steps. It depends only on their ids, on `after` and on
 * the steps that follow procedures, so most edits leave it unchanged.
 */
export interface StepGraph {
  /** For each node of the order, the nodes that must be finished before it starts. Procedures have nodes for begin and end. */
  readonly predecessors: readonly (readonly number[])[];
  /** The node of each operation, in the order of the text. */
  readonly nodes: readonly number[];
  /** Steps that follow an unknown procedure; what they do cannot be determined. */
  readonly unknownCalls: readonly Step[];
  /** A procedure that follows itself, directly or through others. */
  readonly recursiveCalls: readonly Step[];
  /** Index of the step at which `operationLimit` is exceeded; it and all later steps are ignored. */
  readonly tooMany: number | undefined;
}

/** A step within one expansion of its procedure. The plan's own steps belong to no procedure. */
export interface ExpandedStep {
  readonly step: Step;
  readonly planStep: Step;
  readonly bindings: Bindings;
  readonly prefix: string;
}

/** Whether two lists of steps have the same dependency graph. */
export const sameNetwork = (before: readonly Step[], now: readonly Step[]): boolean =>
  before.length === now.length &&
  before.every((step, place) => {
    const other = now[place]!;
    if (step === other) return true;
    if (step.follows || other.follows || step.id !== other.id || !step.after !== !other.after) return false;
    return sameNames(step.after ?? emptyList, other.after ?? emptyList);
  });

const sameNames = (before: readonly WithSpan<string>[], now: readonly WithSpan<string>[]): boolean =>
  before.length === now.length && before.every(({ value }, at) => value === now[at]!.value);

type Procedures = Scope['procedures'];

/** Orders the steps of a list and unfolds the procedures they follow. */
export function buildStepGraph(steps: readonly Step[], procedures: Procedures): StepGraph {
  const predecessors: (readonly number[])[] = [];
  const nodes: number[] = [];
  const unknownCalls: Step[] = [];
  const recursiveCalls: Step[] = [];
  let tooMany: number | undefined;
  order(steps, predecessors, (step, place) => {
    const begin = predecessors.length;
    const unfolded = step.follows && tooMany === undefined ? expandStep(step, procedures) : undefined;
    const count = unfolded?.parts.length ?? 1;
    if (unfolded?.refused || nodes.length + count > operationLimit) tooMany ??= place;
    if (!unfolded || tooMany !== undefined) {
      if (tooMany === undefined) nodes.push(begin);
      predecessors.push(emptyList);
      return [begin, begin];
    }
    for (const waits of unfolded.predecessors) predecessors.push(waits.map((node) => begin + node));
    for (const node of unfolded.nodes) nodes.push(begin + node);
    for (const one of unfolded.unknownCalls) unknownCalls.push(one);
    for (const one of unfolded.recursiveCalls) recursiveCalls.push(one);
    return [begin, predecessors.length - 1];
  });
  return { predecessors, nodes, unknownCalls: unknownCalls, recursiveCalls: recursiveCalls, tooMany };
}

/** What a step of the plan does: itself, or the parts of the procedure it follows. */
export const expandedSteps = (step: Step, procedures: Procedures): readonly ExpandedStep[] =>
  step.follows ? expandStep(step, procedures).parts : ownPart(step);

const ownPart = memoByIdentity((step: Step): readonly [ExpandedStep] => [
  { step, planStep: step, bindings: noBindings, prefix: '' },
]);

/**
 * The subgraph of one plan step with its procedure expanded. Its first node is the begin node, its last the
 * end node.
 */
interface StepExpansion extends Omit<StepGraph, 'tooMany'> {
  readonly parts: readonly ExpandedStep[];
  /** The expansion exceeds `operationLimit`. */
  readonly refused: boolean;
}

const expandStep = memoByIdentity((step: Step, procedures: Procedures): StepExpansion => {
  const unfolding = new ProcedureExpander(procedures);
  unfolding.place(step, { planStep: step, bindings: noBindings, prefix: '', stack: [] });
  return unfolding;
});

/** Where a procedure is followed. */
interface ExpansionContext {
  readonly planStep: Step;
  readonly bindings: Bindings;
  readonly prefix: string;
  readonly stack: readonly string[];
}

/**
 * The begin and end nodes of the entries of a list, by index; the same node unless the entry follows a
 * procedure.
 */
interface ListEnds {
  readonly heads: readonly number[];
  readonly tails: readonly number[];
  /** Indices of the entries with no predecessor in the list, and of those with no successor. */
  readonly firsts: readonly number[];
  readonly lasts: readonly number[];
}

/** Places the entries of a list and orders them. */
function order(
  steps: readonly Step[],
  predecessors: (readonly number[])[],
  placing: (step: Step, place: number) => readonly [head: number, tail: number],
): ListEnds {
  const heads: number[] = [];
  const tails: number[] = [];
  const places = new Map<string, number>();
  steps.forEach((step, place) => {
    const [head, tail] = placing(step, place);
    heads.push(head);
    tails.push(tail);
    if (!places.has(step.id)) places.set(step.id, place);
  });
  const waitedFor = new Uint8Array(steps.length);
  const firsts: number[] = [];
  steps.forEach(({ after }, place) => {
    const waits: number[] = [];
    const waitFor = (other: number): void => {
      if (other < 0) return;
      waitedFor[other] = 1;
      waits.push(tails[other]!);
    };
    // An unknown name under `after` has its own finding; until it is fixed, the step follows the one above
    // it.
    if (after) for (const { value } of after) waitFor(places.get(value) ?? place - 1);
    else waitFor(place - 1);
    if (waits.length === 0) firsts.push(place);
    predecessors[heads[place]!] = waits.length === 1 ? [waits[0]!] : waits;
  });
  const lasts: number[] = [];
  waitedFor.forEach((is, place) => is === 0 && lasts.push(place));
  return { heads, tails, firsts, lasts };
}

class ProcedureExpander implements StepExpansion {
  readonly predecessors: (readonly number[])[] = [];
  readonly nodes: number[] = [];
  readonly parts: ExpandedStep[] = [];
  readonly unknownCalls: Step[] = [];
  readonly recursiveCalls: Step[] = [];
  refused = false;

  constructor(readonly procedures: Procedures) {}

  place(
    step: Step,
    { planStep, bindings, prefix, stack }: ExpansionContext,
  ): readonly [head: number, tail: number] {
    if (this.parts.length >= operationLimit) {
      this.refused = true;
      const node = this.#node();
      return [node, node];
    }
    const name = step.follows?.value;
    const procedure = name === undefined ? undefined : this.procedures.get(name);
    const list = procedure?.root?.get('operations');
    if (name !== undefined && stack.includes(name)) this.recursiveCalls.push(step);
    else if (procedure && list && list.items.length > 0) {
      const head = this.#node();
      const inner = {
        planStep,
        bindings: bind(procedure, step, bindings),
        prefix: `${prefix}${step.id}/`,
        stack: [...stack, name!],
      };
      const { predecessors } = this;
      const steps = readSteps(list, inner.bindings, step);
      const inside = order(steps, predecessors, (one) => this.place(one, inner));
      const tail = this.#node();
      for (const place of inside.firsts) predecessors[inside.heads[place]!] = [head];
      // No edge from `head` to `tail`: a cycle through this call then passes one of its operations, which names it.
      const ends = inside.lasts.length > 0 ? inside.lasts.map((place) => inside.tails[place]!) : inside.tails;
      predecessors[tail] = ends.length > 0 ? ends : [head];
      return [head, tail];
    } else if (name !== undefined && !isEmpty(procedure)) this.unknownCalls.push(step);
    const node = this.#node();
    this.nodes.push(node);
    this.parts.push({ step, planStep, bindings, prefix });
    return [node, node];
  }

  #node(): number {
    return this.predecessors.push(emptyList) - 1;
  }
}

/** Whether a procedure is known to have no step: one with errors in its text may have some. */
const isEmpty = (procedure: Document<'shop-procedure'> | undefined): boolean =>
  procedure?.root?.get('operations')?.items.length === 0 && procedure.problems.length === 0;

type RawParameter = NonNullable<ShopProcedure['parameters']>[number];

/** Binds the parameters of a procedure for one call: the argument if given, else the default. */
function bind(procedure: Document<'shop-procedure'>, step: Step, outer: Bindings): Bindings {
  const bindings = new Map<string, WithSpan<unknown>[]>();
  const given = step.node.get('with') as MapNode<Record<string, unknown>> | undefined;
  for (const parameter of mapsIn<RawParameter>(procedure.root?.get('parameters'))) {
    const name = parameter.get('name')?.value;
    if (name === undefined) continue;
    const value = given?.entry(name)?.value ?? parameter.entry('default')?.value;
    if (value === undefined || value.rejectedBySchema || value.kind === 'map') continue;
    const scalars = value.kind === 'list' ? value.items : [value];
    bindings.set(
      name,
      (scalars as readonly { value: unknown; span: Span }[]).flatMap(({ value: one, span }) =>
        typeof one === 'string' && one.startsWith('$')
          ? [...(outer.get(one.slice(1)) ?? [])]
          : [{ value: one, span }],
      ),
    );
  }
  return bindings;
}
