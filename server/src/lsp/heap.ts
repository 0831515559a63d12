import { getHeapStatistics, setFlagsFromString } from 'node:v8';
import { hasInterruptBudget } from '../base/v8-flags.ts';

/**
 * Limits V8's heap growth between collections and delays JIT compilation of hot code. By itself it takes four
 * times what is in use before it looks for garbage, since it cannot know that a language server is idle most
 * of the time. Peaks of resident memory in short runs of the bench's scripts: 86 → 73 MiB on a plan of 200
 * lines, 124 → 85 at 2,000 and 344 → 155 at 20,000, for up to a fifth more time a key in the longest.
 * Compiling takes memory and a processor as well: waiting four times as long for it costs nothing that can be
 * felt.
 */
export function keepHeapSmall(): void {
  setFlagsFromString(`--heap-growing-percent=${usual}`);
  setFlagsFromString('--semi-space-growth-factor=1');
  if (hasInterruptBudget(process.versions.v8)) setFlagsFromString('--interrupt-budget=264000');
}

/** How much the heap may grow before V8 looks for garbage, over what is in use. Unit: %. */
const usual = 40;
const most = 300;

/** How much it may grow while most of it is garbage. Unit: bytes. */
const garbage = 140e6;

/** How much the heap may grow, of what the server does at the moment. */
export class HeapRoom {
  readonly #setFlag: (flag: string) => void;
  readonly #used: () => number;
  readonly #flags = new Map<string, number>();
  /** What a text that is read is allowed, and plans that are read one after the other. Unit: bytes. */
  #ofText = 0;
  #ofPlans = 0;

  /** @param used bytes of the heap in use */
  constructor(
    setFlag: (flag: string) => void = setFlagsFromString,
    used: () => number = () => getHeapStatistics().used_heap_size,
  ) {
    this.#setFlag = setFlag;
    this.#used = used;
  }

  /**
   * Lets the heap grow by so many bytes before V8 looks for garbage in it, or by as little as usual. While a text is read for
   * the first time, nearly all that is made stays, and looking more often than memory asks for takes a tenth of the time.
   */
  letHeapGrow(by: number): void {
    this.#ofText = by;
    this.#setGrowth();
  }

  /**
   * To be told before many plans are read one after the other, and after it: nearly all that is made for one is garbage when
   * the next comes, and is never copied where the space for new objects has room for a plan. That takes some 30 MiB, and less
   * than a quarter of the time that V8 spends on garbage otherwise.
   */
  expectGarbage(isExpected: boolean): void {
    this.#ofPlans = isExpected ? garbage : 0;
    this.#setGrowth();
    this.#set('semi-space-growth-factor', isExpected ? 2 : 1);
  }

  #setGrowth(): void {
    const by = Math.max(this.#ofText, this.#ofPlans);
    // In steps, so that it seldom changes.
    const wanted = by === 0 ? 0 : 20 * Math.round((5 * by) / this.#used());
    this.#set('heap-growing-percent', Math.min(most, Math.max(usual, wanted)));
  }

  /** V8 takes a third of a millisecond for a flag. */
  #set(name: string, value: number): void {
    if (this.#flags.get(name) === value) return;
    this.#flags.set(name, value);
    this.#setFlag(`--${name}=${value}`);
  }
}
