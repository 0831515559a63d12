/**
 * The partial order of a plan: who must be finished before whom, on every order the plan allows. Reachability is
 * held as one bit set a node, so each question costs one look-up.
 */
export class Order {
  /** A circle of nodes that wait for each other, when there is one; then nothing else can be asked. */
  readonly circle: readonly number[] | undefined;
  /** Every node after all it waits for; nodes of equal standing in the order of the text. */
  readonly sorted: readonly number[];
  readonly #words: number;
  readonly #before: Uint32Array;
  readonly #rank: Uint32Array;

  constructor(readonly predecessors: readonly (readonly number[])[]) {
    const count = predecessors.length;
    this.sorted = sort(predecessors);
    this.circle = this.sorted.length < count ? findCircle(predecessors, new Set(this.sorted)) : undefined;
    this.#words = (count + 31) >> 5;
    this.#before = new Uint32Array(this.circle ? 0 : count * this.#words);
    this.#rank = new Uint32Array(count);
    if (this.circle) return;
    this.sorted.forEach((node, rank) => {
      this.#rank[node] = rank;
      const row = node * this.#words;
      for (const earlier of predecessors[node]!) {
        const from = earlier * this.#words;
        for (let w = 0; w < this.#words; w++) this.#before[row + w]! |= this.#before[from + w]!;
        this.#before[row + (earlier >> 5)]! |= 1 << (earlier & 31);
      }
    });
  }

  /** Whether `a` is finished before `b` starts, on every order. */
  before(a: number, b: number): boolean {
    return ((this.#before[b * this.#words + (a >> 5)]! >>> (a & 31)) & 1) === 1;
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

/** Kahn's algorithm with the lowest ready node first; nodes in or behind a circle are left out. */
function sort(predecessors: readonly (readonly number[])[]): number[] {
  const waiting = predecessors.map((list) => list.length);
  const next: number[][] = predecessors.map(() => []);
  predecessors.forEach((list, node) => list.forEach((earlier) => next[earlier]!.push(node)));
  const ready = waiting.flatMap((count, node) => (count === 0 ? [node] : []));
  const sorted: number[] = [];
  // `ready` stays sorted: a heap would be faster, but plans are near-chains and it holds a few entries.
  for (let node = ready.shift(); node !== undefined; node = ready.shift()) {
    sorted.push(node);
    for (const later of next[node]!) {
      if (--waiting[later]! > 0) continue;
      let at = ready.length;
      while (at > 0 && ready[at - 1]! > later) at--;
      ready.splice(at, 0, later);
    }
  }
  return sorted;
}

function findCircle(predecessors: readonly (readonly number[])[], done: ReadonlySet<number>): number[] {
  let node = predecessors.findIndex((_, index) => !done.has(index));
  const path: number[] = [];
  const seen = new Map<number, number>();
  while (!seen.has(node)) {
    seen.set(node, path.push(node) - 1);
    node = predecessors[node]!.find((earlier) => !done.has(earlier))!;
  }
  return path.slice(seen.get(node)).reverse();
}
