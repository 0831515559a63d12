/**
 * The partial order of a plan's graph: which node must finish before which, in every order the plan allows.
 *
 * A *joint* is a node that follows every earlier node and precedes every later one. Joints split the
 * topological order into segments. Nodes in different segments are ordered by segment; within a segment, each
 * node has a bit set of its predecessors. Plans are nearly chains, so segments are short and each test is one
 * look-up.
 */
export class GraphOrder {
  /** The nodes of a cycle, if there is one; no other method may then be called. */
  readonly cycle: readonly number[] | undefined;
  /** Topological order; ties in text order. */
  readonly sorted: readonly number[];
  readonly #rank: Uint32Array;
  /** By node: its segment, and its index in it. */
  readonly #segment: Uint32Array;
  readonly #place: Uint32Array;
  /** By node: the index of its first word of bits. */
  readonly #row: Uint32Array;
  readonly #bits: Uint32Array;

  constructor(readonly predecessors: readonly (readonly number[])[]) {
    const count = predecessors.length;
    const successors = successorsOf(predecessors);
    this.sorted = sort(predecessors, successors);
    this.cycle = this.sorted.length < count ? findCycle(predecessors, new Set(this.sorted)) : undefined;
    this.#rank = new Uint32Array(count);
    this.#segment = new Uint32Array(count);
    this.#place = new Uint32Array(count);
    this.#row = new Uint32Array(count);
    this.#bits = new Uint32Array(this.cycle ? 0 : this.#layOut(successors));
    if (!this.cycle) this.#fill();
  }

  /** Numbers the segments. @returns how many words their bits take */
  #layOut(successors: Successors): number {
    const { sorted } = this;
    const joint = jointsOf(this.predecessors, successors, sorted);
    let words = 0;
    let segment = 0;
    for (let from = 0; from < sorted.length;) {
      let to = from + 1;
      if (!joint[from]) while (to < sorted.length && !joint[to]) to++;
      const width = (to - from + 31) >> 5;
      for (let rank = from; rank < to; rank++) {
        const node = sorted[rank]!;
        this.#rank[node] = rank;
        this.#segment[node] = segment;
        this.#place[node] = rank - from;
        this.#row[node] = words;
        words += width;
      }
      segment++;
      from = to;
    }
    return words;
  }

  #fill(): void {
    for (const node of this.sorted) {
      const segment = this.#segment[node]!;
      const row = this.#row[node]!;
      const width = (this.#place[node]! >> 5) + 1;
      for (const earlier of this.predecessors[node]!) {
        if (this.#segment[earlier] !== segment) continue;
        const from = this.#row[earlier]!;
        for (let w = 0; w < width; w++) this.#bits[row + w]! |= this.#bits[from + w]!;
        const place = this.#place[earlier]!;
        this.#bits[row + (place >> 5)]! |= 1 << (place & 31);
      }
    }
  }

  /** Whether `a` is finished before `b` starts, on every order. */
  before(a: number, b: number): boolean {
    const segment = this.#segment[a]!;
    if (segment !== this.#segment[b]) return segment < this.#segment[b]!;
    const place = this.#place[a]!;
    // A row is as wide as its segment, so bits of nodes after `b` are zero.
    return ((this.#bits[this.#row[b]! + (place >> 5)]! >>> (place & 31)) & 1) === 1;
  }

  /**
   * From nodes sorted by `compare`, the slice that may fall between `from` and `to` (the end of the plan if
   * undefined): the others lie in earlier or later segments. Test what remains one by one.
   */
  around<N>(
    nodes: readonly N[],
    of: (node: N) => number,
    from: number,
    to: number | undefined,
  ): readonly N[] {
    const [first, last] = [this.#segment[from]!, to === undefined ? Infinity : this.#segment[to]!];
    const start = firstIndex(nodes, (node) => this.#segment[of(node)]! >= first);
    const end = firstIndex(nodes, (node) => this.#segment[of(node)]! > last);
    return nodes.slice(start, end);
  }

  /** The first of nodes sorted by `compare` before which `from` is finished, on every order. */
  firstAfter<N>(nodes: readonly N[], of: (node: N) => number, from: number): N | undefined {
    const first = this.#segment[from]!;
    const start = nodes.length > 8 ? firstIndex(nodes, (node) => this.#segment[of(node)]! >= first) : 0;
    for (let at = start; at < nodes.length; at++) if (this.before(from, of(nodes[at]!))) return nodes[at];
    return undefined;
  }

  /** Whether neither must wait for the other: the two may run at the same time, or in either order. */
  unordered(a: number, b: number): boolean {
    return a !== b && !this.before(a, b) && !this.before(b, a);
  }

  /**
   * Whether `hazard` can fall between the events `from` and `to` (the end of the plan when undefined) on some order
   * the plan allows: it does unless it comes before `from` or after `to` on every order.
   */
  mayFallBetween(from: number, hazard: number, to: number | undefined): boolean {
    if (hazard === from || hazard === to) return false;
    return !this.before(hazard, from) && (to === undefined || !this.before(to, hazard));
  }

  /** A linear extension of the order, for display; ties in text order. */
  compare(a: number, b: number): number {
    return this.#rank[a]! - this.#rank[b]!;
  }
}

/** Binary search for the first index at which `holds` is true. */
function firstIndex<N>(nodes: readonly N[], holds: (node: N) => boolean): number {
  let low = 0;
  let high = nodes.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (holds(nodes[middle]!)) high = middle;
    else low = middle + 1;
  }
  return low;
}

/** The nodes that each node leads to, one after the other: those of `node` from `starts[node]` to `starts[node + 1]`. */
interface Successors {
  readonly starts: Uint32Array;
  readonly nodes: Uint32Array;
}

function successorsOf(predecessors: readonly (readonly number[])[]): Successors {
  const starts = new Uint32Array(predecessors.length + 1);
  for (const list of predecessors) for (const earlier of list) starts[earlier + 1]!++;
  for (let node = 1; node < starts.length; node++) starts[node]! += starts[node - 1]!;
  const nodes = new Uint32Array(starts.at(-1)!);
  const filled = starts.slice();
  predecessors.forEach((list, node) => {
    for (const earlier of list) nodes[filled[earlier]!++] = node;
  });
  return { starts, nodes };
}

/** By topological rank: whether the node there is a joint. */
function jointsOf(
  predecessors: readonly (readonly number[])[],
  { starts, nodes }: Successors,
  sorted: readonly number[],
): Uint8Array {
  const joints = new Uint8Array(sorted.length);
  const forward = new VisitedNodes(sorted.length);
  for (let rank = 0; rank < sorted.length; rank++) {
    const node = sorted[rank]!;
    for (const earlier of predecessors[node]!) forward.meet(earlier);
    if (forward.all) joints[rank] = 1;
    forward.leave();
  }
  const back = new VisitedNodes(sorted.length);
  for (let rank = sorted.length - 1; rank >= 0; rank--) {
    const node = sorted[rank]!;
    for (let at = starts[node]!; at < starts[node + 1]!; at++) back.meet(nodes[at]!);
    if (!back.all) joints[rank] = 0;
    back.leave();
  }
  return joints;
}

/**
 * Counts the visited nodes that no later visited node is linked to; if there are none, every visited node
 * leads to the current one.
 */
class VisitedNodes {
  readonly #met: Uint8Array;
  /** Visited nodes not yet met. */
  #ends = 0;

  constructor(count: number) {
    this.#met = new Uint8Array(count);
  }

  meet(node: number): void {
    if (this.#met[node]) return;
    this.#met[node] = 1;
    this.#ends--;
  }

  get all(): boolean {
    return this.#ends === 0;
  }

  leave(): void {
    this.#ends++;
  }
}

/** Kahn's algorithm with the lowest ready node first; nodes on or after a cycle are left out. */
function sort(predecessors: readonly (readonly number[])[], { starts, nodes }: Successors): number[] {
  const waiting = Uint32Array.from(predecessors, (list) => list.length);
  const ready: number[] = [];
  waiting.forEach((count, node) => count === 0 && ready.push(node));
  const sorted: number[] = [];
  // `ready` stays sorted: a heap would be faster, but plans are near-chains and it holds a few entries.
  for (let node = ready.shift(); node !== undefined; node = ready.shift()) {
    sorted.push(node);
    for (let next = starts[node]!; next < starts[node + 1]!; next++) {
      const later = nodes[next]!;
      if (--waiting[later]! > 0) continue;
      let at = ready.length;
      while (at > 0 && ready[at - 1]! > later) at--;
      ready.splice(at, 0, later);
    }
  }
  return sorted;
}

function findCycle(predecessors: readonly (readonly number[])[], done: ReadonlySet<number>): number[] {
  let node = predecessors.findIndex((_, index) => !done.has(index));
  const path: number[] = [];
  const seen = new Map<number, number>();
  while (!seen.has(node)) {
    seen.set(node, path.push(node) - 1);
    node = predecessors[node]!.find((earlier) => !done.has(earlier))!;
  }
  return path.slice(seen.get(node)).reverse();
}
