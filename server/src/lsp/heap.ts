import { getHeapSpaceStatistics, getHeapStatistics, setFlagsFromString } from 'node:v8';
import { hasInterruptBudget } from '../base/v8-flags.ts';
import type { PlansRead } from './host.ts';

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

/** By how much the space for new objects grows at a time while plans are read one after the other. */
const plansFactor = 4;
/** What a text takes from which on the space for new objects is doubled. Unit: bytes. */
const large = 30e6;
/** Both halves of that space together, of which V8 begins with half as much. Unit: bytes. */
const doubled = 4 * 1024 * 1024;

/** How much the heap may grow, of what the server does at the moment. */
export class HeapRoom {
  readonly #setFlag: (flag: string) => void;
  readonly #used: () => number;
  readonly #newSpace: () => number;
  readonly #flags = new Map<string, number>();
  /** What a text that is read is allowed, and plans that are read one after the other. Unit: bytes. */
  #ofText = 0;
  #ofPlans = 0;
  #areParsed = false;

  /**
   * @param used bytes of the heap in use
   * @param newSpace bytes that the space for new objects takes, with both halves
   */
  constructor(
    setFlag: (flag: string) => void = setFlagsFromString,
    used: () => number = () => getHeapStatistics().used_heap_size,
    newSpace: () => number = () =>
      getHeapSpaceStatistics().find((space) => space.space_name === 'new_space')?.space_size ?? doubled,
  ) {
    this.#setFlag = setFlag;
    this.#used = used;
    this.#newSpace = newSpace;
  }

  /**
   * Lets the heap grow by so many bytes before V8 looks for garbage in it, or by as little as usual. While a text is read for
   * the first time, nearly all that is made stays, and looking more often than memory asks for takes a tenth of the time.
   */
  letHeapGrow(by: number): void {
    this.#ofText = by;
    this.#setGrowth();
    if (by >= large) this.#doubleNewSpace();
  }

  /**
   * Doubles the space for new objects, for good. Of a large text this takes 2 MiB and a tenth less time a key; of others the
   * memory would be felt and the time not. V8 has no call for it: it lets that space grow when it collects what stays, so some
   * objects stay for a moment.
   */
  #doubleNewSpace(): void {
    if (this.#newSpace() >= doubled) return;
    this.#set('semi-space-growth-factor', 2);
    const held: object[] = [];
    // Far more than it takes.
    for (let i = 0; i < 100 && this.#newSpace() < doubled; i++)
      held.push(Array.from({ length: 2000 }, () => ({})));
    this.#setNewSpaceGrowth();
  }

  /**
   * To be told before many plans are read one after the other, and after it: nearly all that is made for one is garbage when
   * the next comes. Where they are parsed, it is never copied where the space for new objects has room for a plan; that takes
   * some 30 MiB, and less than a quarter of the time that V8 spends on garbage otherwise.
   */
  expectGarbage(plans: PlansRead): void {
    this.#ofPlans = plans === 'none' ? 0 : garbage;
    this.#areParsed = plans === 'parsed';
    this.#setGrowth();
    this.#setNewSpaceGrowth();
  }

  #setNewSpaceGrowth(): void {
    this.#set('semi-space-growth-factor', this.#areParsed ? plansFactor : 1);
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
