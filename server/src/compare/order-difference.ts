import type { Plan } from '../plan/plan.ts';
import { sequenceOf } from '../sequence/lives.ts';
import type { Pairs } from './matching.ts';

/** Two matched operations, by their places among the pairs: the first must be finished before the second starts. */
export type Before = readonly [first: number, second: number];

/**
 * The order of a plan on the operations it shares with another version: a bit set of all that must come before, for each
 * of them, what waits for it through others included.
 */
export class SharedOrder {
  readonly #words: number;
  /** By place among the pairs: the rank in an order the plan allows, and back. */
  readonly #rank: Uint32Array;
  readonly #byRank: number[] = [];
  readonly #rows: Uint32Array[] = [];

  /** @param placesOf the places of the shared operations among those of the plan */
  constructor(
    { network, operations }: Pick<Plan, 'network' | 'operations'>,
    sorted: readonly number[],
    placesOf: readonly number[],
  ) {
    const shared = new Map<number, number>();
    placesOf.forEach((place, at) => {
      if (place < operations.length) shared.set(network.nodes[place]!, at);
    });
    this.#words = (placesOf.length + 31) >> 5;
    this.#rank = new Uint32Array(placesOf.length);
    const rows: Uint32Array[] = [];
    for (const node of sorted) {
      const row = new Uint32Array(this.#words);
      for (const earlier of network.predecessors[node]!) {
        const from = rows[earlier]!;
        for (let w = 0; w < row.length; w++) row[w]! |= from[w]!;
        const at = shared.get(earlier);
        if (at !== undefined) set(row, this.#rank[at]!);
      }
      rows[node] = row;
      const at = shared.get(node);
      if (at === undefined) continue;
      this.#rank[at] = this.#byRank.push(at) - 1;
      this.#rows[at] = row;
    }
  }

  before([first, second]: Before): boolean {
    return has(this.#rows[second]!, this.#rank[first]!);
  }

  /**
   * The transitive reduction: the pairs that follow from no others. A row is walked from its latest operation back; what
   * comes before an operation met is left out.
   */
  *reduction(): Generator<Before> {
    const covered = new Uint32Array(this.#words);
    for (const second of this.#byRank) {
      const row = this.#rows[second]!;
      covered.fill(0);
      for (let word = this.#words - 1; word >= 0; word--) {
        for (let left = row[word]! & ~covered[word]!; left !== 0; left = row[word]! & ~covered[word]!) {
          const bit = 31 - Math.clz32(left);
          const first = this.#byRank[word * 32 + bit]!;
          yield [first, second];
          set(covered, word * 32 + bit);
          const from = this.#rows[first]!;
          for (let w = 0; w <= word; w++) covered[w]! |= from[w]!;
        }
      }
    }
  }
}

const set = (row: Uint32Array, at: number): void => {
  row[at >> 5]! |= 1 << (at & 31);
};
const has = (row: Uint32Array, at: number): boolean => ((row[at >> 5]! >>> (at & 31)) & 1) === 1;

/** What two versions say differently about the order of the operations that both have. */
export interface OrderDifference {
  /** Pairs of the old order that the new one leaves open or turns round, without those that follow from others. */
  readonly lost: readonly Before[];
  readonly gained: readonly Before[];
  /** Whether two shared operations stand in that order. */
  readonly old: SharedOrder;
  readonly new: SharedOrder;
}

/** @returns undefined where the order of one version goes round in a circle */
export function orderDifference(old: Plan, now: Plan, pairs: Pairs): OrderDifference | undefined {
  const [was, is] = [sequenceOf(old).order, sequenceOf(now).order];
  if (was.circle || is.circle) return undefined;
  const before = new SharedOrder(
    old,
    was.sorted,
    pairs.map(([a]) => a),
  );
  const after = new SharedOrder(
    now,
    is.sorted,
    pairs.map(([, b]) => b),
  );
  return {
    lost: [...before.reduction()].filter((pair) => !after.before(pair)),
    gained: [...after.reduction()].filter((pair) => !before.before(pair)),
    old: before,
    new: after,
  };
}
