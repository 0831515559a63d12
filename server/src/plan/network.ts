import type { Document } from '../document/document.ts';
import { mapsIn } from '../document/node.ts';
import type { MapNode } from '../document/node.ts';
import type { Span } from '../document/text.ts';
import type { ShopProcedure } from '../generated/shop-procedure.ts';
import type { At, Bindings } from './read.ts';
import type { Scope } from './scope.ts';
import { readSteps, unbound } from './steps.ts';
import type { Step } from './steps.ts';

/** Procedures that follow procedures can multiply; beyond this the plan is refused. Unit: operations. */
export const operationLimit = 8_000;

/**
 * How the steps of a list hang together. It follows from their ids, from what they wait for and from the procedures they
 * follow, so most edits leave it as it is.
 */
export interface Network {
  /** For each node of the order, the nodes that must be finished before it starts. */
  readonly predecessors: readonly (readonly number[])[];
  /** A `follow` whose procedure is not known: nobody can say what is done there. */
  readonly opaque: readonly Step[];
  /** A procedure that follows itself, directly or through others. */
  readonly circles: readonly Step[];
  /** By place in the list of steps: the node of what a step does itself; -1 where it follows a procedure instead. */
  readonly own: readonly number[];
  /** By place, what is done in the procedure that a step follows. */
  readonly within: ReadonlyMap<number, readonly Part[]>;
  /** The place at which the operations become too many. */
  readonly tooMany: number | undefined;
}

/** What one step of a procedure does in one call of it. */
export interface Part {
  readonly step: Step;
  readonly planStep: Step;
  readonly index: number;
  readonly bindings: Bindings;
  readonly prefix: string;
}

/** Whether two lists of steps hang together in the same way, whatever else they say. */
export const sameNetwork = (before: readonly Step[], now: readonly Step[]): boolean =>
  before.length === now.length &&
  before.every((step, place) => {
    const other = now[place]!;
    if (step === other) return true;
    if (step.follows || other.follows || step.id !== other.id || !step.after !== !other.after) return false;
    const [own, others] = [step.after ?? [], other.after ?? []];
    return own.length === others.length && own.every(({ value }, i) => value === others[i]!.value);
  });

type Procedures = Scope['procedures'];

/** Orders the steps of a list and unfolds the procedures they follow. */
export const networkOf = (steps: readonly Step[], procedures: Procedures): Network =>
  new Unfolding(procedures).run(steps);

/** Where a procedure is followed. */
interface Call {
  readonly planStep: Step;
  readonly bindings: Bindings;
  readonly prefix: string;
  readonly stack: readonly string[];
}

/**
 * The graph nodes at which the entries of a list begin and end, by place; one and the same for an entry unless it
 * follows a procedure.
 */
interface Placed {
  readonly heads: readonly number[];
  readonly tails: readonly number[];
  /** Places that wait for nothing in the list, and places that nothing in it waits for. */
  readonly firsts: readonly number[];
  readonly lasts: readonly number[];
}

class Unfolding {
  readonly #predecessors: number[][] = [];
  readonly #opaque: Step[] = [];
  readonly #circles: Step[] = [];
  #operations = 0;
  #refused = false;

  constructor(readonly procedures: Procedures) {}

  run(steps: readonly Step[]): Network {
    const own: number[] = [];
    const within = new Map<number, readonly Part[]>();
    let tooMany: number | undefined;
    this.#block(steps, (step, place) => {
      const parts: Part[] = [];
      const call = { planStep: step, bindings: unbound, prefix: '', stack: [] };
      const ends = this.#place(step, call, parts);
      if (parts[0]?.step === step) own.push(parts[0].index);
      else {
        own.push(-1);
        within.set(place, parts);
        if (this.#refused) tooMany ??= place;
      }
      return ends;
    });
    return {
      own,
      within,
      predecessors: this.#predecessors,
      opaque: this.#opaque,
      circles: this.#circles,
      tooMany,
    };
  }

  #node(): number {
    return this.#predecessors.push([]) - 1;
  }

  /** Places the entries of a list and orders them. */
  #block(
    steps: readonly Step[],
    placing: (step: Step, place: number) => readonly [head: number, tail: number],
  ): Placed {
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
    steps.forEach((step, place) => {
      const waits = this.#predecessors[heads[place]!]!;
      let free = true;
      const waitFor = (other: number): void => {
        free = false;
        waitedFor[other] = 1;
        waits.push(tails[other]!);
      };
      if (!step.after) {
        if (place > 0) waitFor(place - 1);
      } else {
        for (const { value } of step.after) {
          // A name that leads nowhere is a finding of its own; until it is mended the step stays where it stands.
          const other = places.get(value) ?? place - 1;
          if (other >= 0) waitFor(other);
        }
      }
      if (free) firsts.push(place);
    });
    const lasts = [...steps.keys()].filter((place) => waitedFor[place] === 0);
    return { heads, tails, firsts, lasts };
  }

  #place(step: Step, call: Call, parts: Part[]): readonly [head: number, tail: number] {
    const { planStep, bindings, prefix, stack } = call;
    if (this.#operations >= operationLimit) {
      this.#refused = true;
      const node = this.#node();
      return [node, node];
    }
    const name = step.follows?.value;
    const procedure = name === undefined ? undefined : this.procedures.get(name);
    const list = procedure?.root?.get('operations');
    if (name !== undefined && stack.includes(name)) this.#circles.push(step);
    else if (procedure && list && list.items.length > 0) {
      const head = this.#node();
      const inner = {
        planStep,
        bindings: bind(procedure, step, bindings),
        prefix: `${prefix}${step.id}/`,
        stack: [...stack, name!],
      };
      const inside = this.#block(readSteps(list, inner.bindings, step), (one) =>
        this.#place(one, inner, parts),
      );
      const tail = this.#node();
      for (const place of inside.firsts) this.#predecessors[inside.heads[place]!]!.push(head);
      this.#predecessors[tail]!.push(head, ...inside.lasts.map((place) => inside.tails[place]!));
      return [head, tail];
    } else if (name !== undefined) this.#opaque.push(step);
    const index = this.#node();
    this.#operations++;
    parts.push({ step, planStep, index, bindings, prefix });
    return [index, index];
  }
}

type RawParameter = NonNullable<ShopProcedure['parameters']>[number];

/** What the parameters of a procedure stand for in one call: what the plan fills in, else the default. */
function bind(procedure: Document<'shop-procedure'>, step: Step, outer: Bindings): Bindings {
  const bindings = new Map<string, At<unknown>[]>();
  const given = step.node.get('with') as MapNode<Record<string, unknown>> | undefined;
  for (const parameter of mapsIn<RawParameter>(procedure.root?.get('parameters'))) {
    const name = parameter.get('name')?.value;
    if (name === undefined) continue;
    const value = given?.entry(name)?.value ?? parameter.entry('default')?.value;
    if (value === undefined || value.bad || value.kind === 'map') continue;
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
