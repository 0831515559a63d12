import type { Document } from '../document/document.ts';
import { mapsIn } from '../document/node.ts';
import type { AnyNode, MapNode, ListNode } from '../document/node.ts';
import { once } from '../document/once.ts';
import { cutter } from '../document/runs.ts';
import type { Span } from '../document/text.ts';
import type { Operation as RawOperation } from '../generated/repair-plan.ts';
import type { ShopProcedure } from '../generated/shop-procedure.ts';
import type { QuantityName } from '../document/quantity.ts';
import { readIds, readQuantity, readText } from './read.ts';
import type { At, Bindings, Quantity } from './read.ts';
import type { Scope } from './scope.ts';
import type { Task } from './tasks.ts';

export type Half = 'plug' | 'receptacle';
export const bothHalves: readonly Half[] = ['plug', 'receptacle'];

/** One entry of an operations list, as it stands in a file: a step done, or a procedure followed. */
export interface Step {
  readonly id: string;
  readonly span: Span;
  readonly node: MapNode<RawOperation>;
  /** Its place in its list. */
  readonly position: number;
  /** The file it stands in. */
  readonly uri: string;
  /** The steps named under `after:`, or undefined when it follows the step above. */
  readonly after: readonly At<string>[] | undefined;
  readonly follows: At<string> | undefined;
  /** The plan's step that followed the procedure in which this one stands. */
  readonly caller: Step | undefined;
}

/** One thing that is done, procedures expanded in place. */
export interface Operation {
  /** Its node in the order. Procedures have nodes of their own for their begin and end. */
  readonly index: number;
  /** `op20`, or `op10/lock` inside a procedure. */
  readonly id: string;
  readonly step: Step;
  /** The entry of the plan's own list it belongs to: itself, or the one that follows the procedure. */
  readonly planStep: Step;
  readonly span: Span;
  readonly task: Task | undefined;
  readonly taskId: string;
  readonly connectors: readonly At<string>[];
  readonly halves: readonly Half[];
  readonly zones: readonly string[];
  readonly using: readonly At<string>[];
  readonly by: At<string> | undefined;
  readonly time: Quantity | undefined;
  readonly bindings: Bindings;
}

/** A quantity that a step states beside its task, a procedure's parameter filled in. */
export const stepQuantity = (
  { step, bindings }: Operation,
  quantity: QuantityName,
  key: 'air-temperature' | 'panel-temperature' | 'hold-time' | 'meter-rating',
): Quantity | undefined => readQuantity(quantity, step.node.get(key), bindings);

/** For each node of the order, the nodes that must be finished before it starts. */
type Predecessors = readonly (readonly number[])[];

export interface Expansion {
  /** The plan's own list entries, in text order. */
  readonly steps: readonly Step[];
  readonly operations: readonly Operation[];
  readonly predecessors: Predecessors;
  /** A `follow` whose procedure is not known: nobody can say what is done there. */
  readonly opaque: readonly Step[];
  /** A procedure that follows itself, directly or through others. */
  readonly circles: readonly Step[];
  /** The step of the plan at which the operations become too many. */
  readonly tooMany: Step | undefined;
}

/** Procedures that follow procedures can multiply; beyond this the plan is refused. Unit: operations. */
export const operationLimit = 8_000;

/**
 * How the steps of a list hang together. It follows from their ids, from what they wait for and from the procedures they
 * follow, so most edits leave it as it is.
 */
export interface Network extends Pick<Expansion, 'predecessors' | 'opaque' | 'circles'> {
  /** By place in the list of steps: the node of what a step does itself; -1 where it follows a procedure instead. */
  readonly own: readonly number[];
  /** By place, what is done in the procedure that a step follows. */
  readonly within: ReadonlyMap<number, readonly Part[]>;
  /** The place at which the operations become too many. */
  readonly tooMany: number | undefined;
}

/** What one step of a procedure does in one call of it. */
interface Part {
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

/** What the operations of the steps are read with. */
type Surroundings = Pick<Scope, 'connectors' | 'tasks'>;

/** What is done, in the order of the text. */
export function operationsOf(
  steps: readonly Step[],
  network: Network,
  { connectors, tasks }: Surroundings,
): Operation[] {
  const operations: Operation[] = [];
  let first = 0;
  for (const run of runsOfSteps(steps)) {
    for (const operation of inRun(run, first, network, connectors, tasks)) operations.push(operation);
    first += run.length;
  }
  return operations;
}

const runsOfSteps = cutter<Step>();
const inRun = once(
  (
    run: readonly Step[],
    first: number,
    { own, within }: Network,
    connectors: Scope['connectors'],
    tasks: Scope['tasks'],
  ) =>
    run.flatMap((step, i) => {
      const index = own[first + i]!;
      return index >= 0
        ? ownOperation(step, index, connectors, tasks)
        : (within.get(first + i) ?? []).map((part) => partOperation(part, connectors, tasks));
    }),
);

const partOperation = once((part: Part, connectors: Scope['connectors'], tasks: Scope['tasks']) => {
  const facts = factsOf(part.step.node, part.bindings);
  return makeOperation(part, facts, tasks.get(facts.taskId), zonesNear(facts, connectors));
});

/** A plan's own step is the same operation as long as nothing about it changes. */
const ownOperation = once(
  (step: Step, index: number, connectors: Scope['connectors'], tasks: Scope['tasks']) => {
    const facts = factsOf(step.node, unbound);
    return sameOperation(step, index, tasks.get(facts.taskId), zonesNear(facts, connectors).join('\n'));
  },
);

/** @param near the zones of its connectors, a line each, for a step that names none */
const sameOperation = once((step: Step, index: number, task: Task | undefined, near: string) =>
  makeOperation(
    { step, planStep: step, index, bindings: unbound, prefix: '' },
    factsOf(step.node, unbound),
    task,
    near === '' ? [] : near.split('\n'),
  ),
);

/** The zones of the connectors of a step that names no zone. */
function zonesNear({ zones, connectors: named }: Facts, connectors: Scope['connectors']): readonly string[] {
  const near: string[] = [];
  if (zones.length > 0) return near;
  for (const { value } of named) {
    const zone = connectors.get(value)?.zone;
    if (zone !== undefined && !near.includes(zone)) near.push(zone);
  }
  return near;
}

function makeOperation(
  { step, planStep, index, bindings, prefix }: Part,
  { taskId, connectors, zones, halves, using, by, time }: Facts,
  task: Task | undefined,
  near: readonly string[],
): Operation {
  return {
    index,
    id: prefix + step.id,
    step,
    planStep,
    span: planStep.span,
    task,
    taskId,
    connectors,
    halves,
    zones: zones.length > 0 || near.length === 0 ? zones : near,
    using,
    by,
    time,
    bindings,
  };
}

/** The entries of a plan's own list. */
export function ownSteps(list: ListNode<RawOperation> | undefined): Step[] {
  const steps: Step[] = [];
  if (list?.kind !== 'list') return steps;
  let first = 0;
  for (const run of runsOf(list.items)) {
    for (const step of ownStepsInRun(run, first, list.span.origin.uri)) steps.push(step);
    first += run.length;
  }
  return steps;
}

const runsOf = cutter<MapNode<RawOperation>>();
const ownStepsInRun = once((run: readonly MapNode<RawOperation>[], first: number, uri: string) =>
  run.flatMap((node, i) => ownStep(node, first + i, uri) ?? []),
);
const ownStep = once((node: MapNode<RawOperation>, position: number, uri: string) =>
  makeStep(node, position, uri, unbound),
);

/** The entries of a procedure's list, in one call of it. */
const readSteps = (list: ListNode<RawOperation>, bindings: Bindings, caller: Step): Step[] =>
  list.items.flatMap(
    (node, position) => makeStep(node, position, list.span.origin.uri, bindings, caller) ?? [],
  );

function makeStep(
  node: MapNode<RawOperation>,
  position: number,
  uri: string,
  bindings: Bindings,
  caller?: Step,
): Step | undefined {
  if (node.bad || (node as AnyNode).kind !== 'map') return undefined;
  const { id, after, follows } = factsOf(node, bindings);
  return id && { id: id.value, span: id.span, node, position, uri, after, follows, caller };
}

/** What the line of a step says, whatever stands around it. */
interface Facts extends Pick<
  Operation,
  'taskId' | 'connectors' | 'zones' | 'halves' | 'using' | 'by' | 'time'
> {
  readonly id: At<string> | undefined;
  readonly after: Step['after'];
  readonly follows: Step['follows'];
}

function readFacts(node: MapNode<RawOperation>, bindings: Bindings): Facts {
  const half = node.get('halves')?.value ?? 'both';
  return {
    id: node.get('id'),
    after: node.entry('after') ? readIds(node.get('after'), bindings) : undefined,
    follows: readText(node.get('follow'), bindings),
    taskId: readText(node.get('do'), bindings)?.value ?? '',
    connectors: readIds(node.get('connectors'), bindings),
    zones: readIds(node.get('zone'), bindings).map(({ value }) => value),
    halves: half === 'both' ? bothHalves : [half],
    using: readIds(node.get('using'), bindings),
    by: readText(node.get('by'), bindings),
    time: readQuantity('time', node.get('time'), bindings),
  };
}

const unbound: Bindings = new Map();
const ownFacts = once((node: MapNode<RawOperation>) => readFacts(node, unbound));

/** A plan's own lines say the same in every text; a procedure's depend on what the call fills in. */
const factsOf = (node: MapNode<RawOperation>, bindings: Bindings): Facts =>
  bindings.size === 0 ? ownFacts(node) : readFacts(node, bindings);

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
