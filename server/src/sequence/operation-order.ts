import type { Operation } from '../plan/operations.ts';
import type { GraphOrder } from './partial-order.ts';

/** Maximum number of pairs to compare. Beyond it, recomputing is cheaper than comparing. */
const maxCompared = 1_000_000;

/** The order of a plan's operations: which must finish before which, in every order the plan allows. */
export class OperationOrder {
  #order: GraphOrder;
  #operations: readonly Operation[];
  /** Graph node of each operation, parallel to `#operations`. */
  #nodes: readonly number[];
  #byOperation: Map<Operation, number> | undefined;
  /**
   * Operations this order once answered for and no longer contains. Cached conclusions about them may
   * survive, so if one returns, `tryAdopt` must refuse.
   */
  readonly #left = new WeakSet<Operation>();

  /**
   * @param operations in the order of the text
   * @param nodes of each operation in `order`, ascending
   */
  constructor(operations: readonly Operation[], nodes: readonly number[], order: GraphOrder) {
    this.#order = order;
    this.#operations = operations;
    this.#nodes = nodes;
  }

  /** The nodes of the plan's network, each after all it waits for. */
  get sorted(): readonly number[] {
    return this.#order.sorted;
  }

  /** The operations of a cycle, if there is one; no other method may then be called. */
  get circle(): readonly Operation[] | undefined {
    const { cycle } = this.#order;
    if (!cycle) return undefined;
    return cycle.flatMap((node) => this.#operations[this.#nodes.indexOf(node)] ?? []);
  }

  /** Whether `a` is finished before `b` starts, on every order. */
  before(a: Operation, b: Operation): boolean {
    return this.#order.before(this.#node(a), this.#node(b));
  }

  /**
   * Of operations sorted by `compare`, those that could stand between `from` and `to` (the end of the plan
   * when undefined), possibly with others; test each with `mayFallBetween`.
   */
  candidatesBetween(
    operations: readonly Operation[],
    from: Operation,
    to: Operation | undefined,
  ): readonly Operation[] {
    const end = to && this.#node(to);
    return this.#order.around(operations, (operation) => this.#node(operation), this.#node(from), end);
  }

  /** The first of operations sorted by `compare` before which `from` is finished, on every order. */
  firstAfter(operations: readonly Operation[], from: Operation): Operation | undefined {
    return this.#order.firstAfter(operations, (operation) => this.#node(operation), this.#node(from));
  }

  /** Whether neither must wait for the other: the two may be done at the same time, or in either order. */
  unordered(a: Operation, b: Operation): boolean {
    return this.#order.unordered(this.#node(a), this.#node(b));
  }

  /**
   * Whether `hazard` can fall between `from` and `to` (the end of the plan when undefined) on some order the plan
   * allows: it does unless it comes before `from` or after `to` on every order.
   */
  mayFallBetween(from: Operation, hazard: Operation, to: Operation | undefined): boolean {
    return this.#order.mayFallBetween(this.#node(from), this.#node(hazard), to && this.#node(to));
  }

  /** A linear order to show things in: earlier first, where nothing is said as in the text. */
  compare(a: Operation, b: Operation): number {
    return this.#order.compare(this.#node(a), this.#node(b));
  }

  /** The order of the text. */
  compareInText(a: Operation, b: Operation): number {
    return this.#node(a) - this.#node(b);
  }

  /**
   * Adopts the order of a later state if the two agree on all operations this one has ever answered for.
   * Results derived from this object then stay valid, since they also depend on the operations concerned.
   * @returns whether it was adopted; if not, nothing is changed
   */
  tryAdopt(later: OperationOrder): boolean {
    if (this.#order.cycle || later.#order.cycle) return false;
    const sameNetwork = this.#order === later.#order && this.#nodes === later.#nodes;
    return sameNetwork ? this.#exchange(later.#operations) : this.#takeOver(later);
  }

  /** Replaces operations one for one; the graph is unchanged. */
  #exchange(operations: readonly Operation[]): boolean {
    const known = this.#map;
    const places: number[] = [];
    for (let i = 0; i < operations.length; i++) if (operations[i] !== this.#operations[i]) places.push(i);
    if (places.some((i) => known.has(operations[i]!) || this.#left.has(operations[i]!))) return false;
    for (const i of places) {
      this.#left.add(this.#operations[i]!);
      known.delete(this.#operations[i]!);
      known.set(operations[i]!, this.#nodes[i]!);
    }
    this.#operations = operations;
    return true;
  }

  #takeOver(later: OperationOrder): boolean {
    if (!this.#agrees(later)) return false;
    for (const operation of this.#operations) {
      if (!later.#map.has(operation)) this.#left.add(operation);
    }
    this.#order = later.#order;
    this.#operations = later.#operations;
    this.#nodes = later.#nodes;
    this.#byOperation = later.#map;
    return true;
  }

  /**
   * If a node has the same direct predecessors as before, it has the same predecessors, provided theirs are
   * the same. So only nodes whose direct predecessors changed are compared with all.
   */
  #agrees(later: OperationOrder): boolean {
    const [mine, theirs] = [this.#order, later.#order];
    const other = new Int32Array(mine.sorted.length).fill(-1);
    let last = -1;
    for (const [i, operation] of later.#operations.entries()) {
      const known = this.#map.get(operation);
      if (known === undefined) {
        if (this.#left.has(operation)) return false;
        continue;
      }
      if (known < last) return false;
      other[known] = later.#nodes[i]!;
      last = known;
    }
    const shared = mine.sorted.filter((node) => other[node]! >= 0);
    let compared = 0;
    let previous: number | undefined;
    for (const node of shared) {
      const now = other[node]!;
      if (previous !== undefined && theirs.compare(previous, now) > 0) return false;
      previous = now;
      const before = mine.predecessors[node]!;
      const after = theirs.predecessors[now]!;
      if (before.length === after.length && before.every((one, k) => other[one] === after[k])) continue;
      if ((compared += shared.length) > maxCompared) return false;
      if (shared.some((one) => mine.before(one, node) !== theirs.before(other[one]!, now))) return false;
    }
    return true;
  }

  get #map(): Map<Operation, number> {
    if (!this.#byOperation) {
      const byOperation = new Map<Operation, number>();
      this.#operations.forEach((operation, i) => byOperation.set(operation, this.#nodes[i]!));
      this.#byOperation = byOperation;
    }
    return this.#byOperation;
  }

  #node(operation: Operation): number {
    const node = this.#map.get(operation);
    if (node === undefined) throw new RangeError(`${operation.id} is no operation of this plan`);
    return node;
  }
}
