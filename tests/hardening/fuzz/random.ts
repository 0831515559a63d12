/** A small seeded generator (mulberry32, public domain): the same seed and number give the same document again. */
export class Random {
  #state: number;

  constructor(seed: number, stream = 0) {
    this.#state = (Math.imul(seed, 0x9e3779b1) ^ Math.imul(stream + 1, 0x85ebca6b)) >>> 0;
  }

  /** In [0, 1). */
  next(): number {
    this.#state = (this.#state + 0x6d2b79f5) >>> 0;
    let t = this.#state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  }

  /** A whole number in [0, below). */
  below(below: number): number {
    return Math.floor(this.next() * below);
  }

  chance(probability: number): boolean {
    return this.next() < probability;
  }

  pick<T>(from: readonly T[]): T {
    return from[this.below(from.length)]!;
  }
}
