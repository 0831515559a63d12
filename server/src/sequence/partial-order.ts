/**
 * The partial order of a plan: who must be finished before whom, on every order the plan allows.
 *
 * A node that waits for everything earlier and is waited for by everything later is a joint. Joints cut the order into
 * stretches; across them the answer follows from which stretch comes first, and within one it is held as a bit set a
 * node. Plans are near-chains, so stretches are short and each question costs one look-up.
 */
export class GraphOrder {
  /** A circle of nodes that wait for each other, when there is one; then nothing else can be asked. */
  readonly cycle: readonly number[] | undefined;
  /** Every node after all it waits for; nodes of equal standing in the order of the text. */
  readonly sorted: readonly number[];
  readonly #rank: Uint32Array;
  /** By node: its stretch, and its place in it. */
  readonly #stretch: Uint32Array;
  readonly #place: Uint32Array;
  /** By node: where its bits start. */
  readonly #row: Uint32Array;
  readonly #bits: Uint32Array;

  constructor(readonly predecessors: readonly (readonly number[])[]) {
    const count = predecessors.length;
    const successors = successorsOf(predecessors);
    this.sorted = sort(predecessors, successors);
    this.cycle = this.sorted.length < count ? findCycle(predecessors, new Set(this.sorted)) : undefined;
    this.#rank = new Uint32Array(count);
    this.#stretch = new Uint32Array(count);
    this.#place = new Uint32Array(count);
    this.#row = new Uint32Array(count);
    this.#bits = new Uint32Array(this.cycle ? 0 : this.#layOut(successors));
    if (!this.cycle) this.#fill();
  }

  /** Numbers the stretches. @returns how many words their bits take */
  #layOut(successors: Successors): number {
    const { sorted } = this;
    const joint = jointsOf(this.predecessors, successors, sorted);
    let words = 0;
    let stretch = 0;
    for (let from = 0; from < sorted.length;) {
      let to = from + 1;
      if (!joint[from]) while (to < sorted.length && !joint[to]) to++;
      const width = (to - from + 31) >> 5;
      for (let rank = from; rank < to; rank++) {
        const node = sorted[rank]!;
        this.#rank[node] = rank;
        this.#stretch[node] = stretch;
        this.#place[node] = rank - from;
        this.#row[node] = words;
        words += width;
      }
      stretch++;
      from = to;
    }
    return words;
  }

  #fill(): void {
    for (const node of this.sorted) {
      const stretch = this.#stretch[node]!;
      const row = this.#row[node]!;
      const width = (this.#place[node]! >> 5) + 1;
      for (const earlier of this.predecessors[node]!) {
        if (this.#stretch[earlier] !== stretch) continue;
        const from = this.#row[earlier]!;
        for (let w = 0; w < width; w++) this.#bits[row + w]! |= this.#bits[from + w]!;
        const place = this.#place[earlier]!;
        this.#bits[row + (place >> 5)]! |= 1 << (place & 31);
      }
    }
  }

  /** Whether `a` is finished before `b` starts, on every order. */
  before(a: number, b: number): boolean {
    const stretch = this.#stretch[a]!;
    if (stretch !== this.#stretch[b]) return stretch < this.#stretch[b]!;
    const place = this.#place[a]!;
    // Within a stretch a row is as wide as the stretch, so places later than `b` read as nought.
    return ((this.#bits[this.#row[b]! + (place >> 5)]! >>> (place & 31)) & 1) === 1;
  }

  /**
   * Of nodes sorted by `compare`, those that could stand between `from` and `to` (the end of the plan when undefined):
   * the others lie in stretches before or behind. What is left is to be asked one by one.
   */
  around<N>(
    nodes: readonly N[],
    of: (node: N) => number,
    from: number,
    to: number | undefined,
  ): readonly N[] {
    const [first, last] = [this.#stretch[from]!, to === undefined ? Infinity : this.#stretch[to]!];
    const start = firstIndex(nodes, (node) => this.#stretch[of(node)]! >= first);
    const end = firstIndex(nodes, (node) => this.#stretch[of(node)]! > last);
    return nodes.slice(start, end);
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

  /** A linear order to show things in: earlier first, where nothing is said as in the text. */
  compare(a: number, b: number): number {
    return this.#rank[a]! - this.#rank[b]!;
  }
}

/** The first place from which on `holds` is true. */
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

/** By rank: whether everything earlier comes before the node there, and everything later after it. */
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

/** Nodes that one walks by: whether those that are met lead to all that was walked by before. */
class VisitedNodes {
  readonly #met: Uint8Array;
  /** Nodes that have not been met yet: who meets them all meets whatever they lead to. */
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

/** Kahn's algorithm with the lowest ready node first; nodes in or behind a circle are left out. */
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
