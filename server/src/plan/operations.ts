import type { Document } from '../document/document.ts';
import { mapsIn } from '../document/node.ts';
import type { MapNode, ListNode } from '../document/node.ts';
import { once } from '../document/once.ts';
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
  readonly tooMany: Step | undefined;
}

/** Procedures that follow procedures can multiply; beyond this the plan is refused. Unit: operations. */
export const operationLimit = 8_000;

/** What the steps of a list and the procedures they follow are read with. */
type Surroundings = Pick<Scope, 'procedures' | 'connectors' | 'tasks'>;

/** Reads the operations of a plan or a procedure and expands the procedures they follow. */
export function expand(list: ListNode<RawOperation> | undefined, scope: Surroundings): Expansion {
  return new Expander(scope).run(list);
}

interface Block {
  readonly list: ListNode<RawOperation>;
  readonly bindings: Bindings;
  readonly prefix: string;
  readonly caller: Step | undefined;
  readonly planStep: Step | undefined;
  readonly stack: readonly string[];
}

/**
 * The graph nodes at which the entries of a list begin and end, by place; one and the same for an entry unless it
 * follows a procedure.
 */
interface Placed {
  readonly steps: readonly Step[];
  readonly heads: readonly number[];
  readonly tails: readonly number[];
  /** Places that wait for nothing in the list, and places that nothing in it waits for. */
  readonly firsts: readonly number[];
  readonly lasts: readonly number[];
}

class Expander {
  readonly #operations: Operation[] = [];
  readonly #predecessors: number[][] = [];
  readonly #opaque: Step[] = [];
  readonly #circles: Step[] = [];
  #tooMany: Step | undefined;

  constructor(readonly scope: Surroundings) {}

  run(list: ListNode<RawOperation> | undefined): Expansion {
    const whole = { bindings: unbound, prefix: '', stack: [], caller: undefined, planStep: undefined };
    return {
      steps: list ? this.#block({ ...whole, list }).steps : [],
      operations: this.#operations,
      predecessors: this.#predecessors,
      opaque: this.#opaque,
      circles: this.#circles,
      tooMany: this.#tooMany,
    };
  }

  #node(): number {
    return this.#predecessors.push([]) - 1;
  }

  /** Places the entries of a list and orders them. */
  #block(block: Block): Placed {
    const steps = readSteps(block);
    const heads: number[] = [];
    const tails: number[] = [];
    const places = new Map<string, number>();
    steps.forEach((step, place) => {
      const [head, tail] = this.#place(step, block);
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
    return { steps, heads, tails, firsts, lasts };
  }

  #place(step: Step, block: Block): readonly [head: number, tail: number] {
    const planStep = block.planStep ?? step;
    if (this.#operations.length >= operationLimit) {
      this.#tooMany ??= planStep;
      const node = this.#node();
      return [node, node];
    }
    const name = step.follows?.value;
    if (name === undefined) return this.#operation(step, planStep, block);
    const procedure = this.scope.procedures.get(name);
    const list = procedure?.root?.get('operations');
    if (block.stack.includes(name)) this.#circles.push(step);
    else if (!procedure || !list || list.items.length === 0) this.#opaque.push(step);
    else {
      const head = this.#node();
      const inside = this.#block({
        list,
        bindings: bind(procedure, step, block.bindings),
        prefix: `${block.prefix}${step.id}/`,
        caller: step,
        planStep,
        stack: [...block.stack, name],
      });
      const tail = this.#node();
      for (const place of inside.firsts) this.#predecessors[inside.heads[place]!]!.push(head);
      this.#predecessors[tail]!.push(head, ...inside.lasts.map((place) => inside.tails[place]!));
      return [head, tail];
    }
    return this.#operation(step, planStep, block);
  }

  #operation(step: Step, planStep: Step, { bindings, prefix }: Block): readonly [head: number, tail: number] {
    const index = this.#node();
    const facts = factsOf(step.node, bindings);
    const { connectors, tasks } = this.scope;
    const near: string[] = [];
    if (facts.zones.length === 0) {
      for (const { value } of facts.connectors) {
        const zone = connectors.get(value)?.zone;
        if (zone !== undefined && !near.includes(zone)) near.push(zone);
      }
    }
    const task = tasks.get(facts.taskId);
    const make = step === planStep && bindings === unbound ? ownOperation : makeOperation;
    this.#operations.push(make(step, index, task, near.join('\n'), prefix, planStep, bindings));
    return [index, index];
  }
}

/** @param near the zones of its connectors, a line each, for a step that names none */
function makeOperation(
  step: Step,
  index: number,
  task: Task | undefined,
  near: string,
  prefix: string,
  planStep: Step,
  bindings: Bindings,
): Operation {
  const { taskId, connectors, zones, halves, using, by, time } = factsOf(step.node, bindings);
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
    zones: zones.length > 0 || near === '' ? zones : near.split('\n'),
    using,
    by,
    time,
    bindings,
  };
}
/** A plan's own step is the same operation as long as nothing about it changes. */
const ownOperation = once(makeOperation);

function readSteps({ list, bindings, caller }: Block): Step[] {
  const steps: Step[] = [];
  const { uri } = list.span.origin;
  (list.items as typeof list.items | undefined)?.forEach((node, position) => {
    if (node.bad || node.kind !== 'map') return;
    const step = caller
      ? makeStep(node, position, uri, bindings, caller)
      : ownStep(node, position, uri, bindings);
    if (step) steps.push(step);
  });
  return steps;
}

function makeStep(
  node: MapNode<RawOperation>,
  position: number,
  uri: string,
  bindings: Bindings,
  caller?: Step,
): Step | undefined {
  const { id, after, follows } = factsOf(node, bindings);
  return id && { id: id.value, span: id.span, node, position, uri, after, follows, caller };
}
const ownStep = once(makeStep);

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
