import { setFlagsFromString } from 'node:v8';
import { hasInterruptBudget, usualInterruptBudget } from '../base/v8-flags.ts';

/** Text from which on it pays to compile what runs twice, and from which on hot code and room for new objects pay. Unit: bytes. */
const some = 128 * 1024;
const much = 256 * 1024;

/** Bytecode and patterns are run as they are, and garbage is collected without waking other threads; and V8's own settings. */
const ofLittle = ['--no-sparkplug', '--regexp-tier-up-ticks=100', '--no-parallel-scavenge'];
const ofSome = ['--sparkplug', '--regexp-tier-up-ticks=1', '--parallel-scavenge'];
const fewNew = '--semi-space-growth-factor=1';
const manyNew = '--semi-space-growth-factor=2';

/** How V8 is set for the text that a run reads: quick to start, and fast from much text on. */
export class Effort {
  #read = 0;
  readonly #setFlags: (flags: string) => void;
  /** What keeps V8 from compiling what is not hot enough to pay, and what puts an end to that. */
  readonly #late: readonly string[];
  readonly #usual: readonly string[];
  readonly #hot: readonly string[];

  constructor(setFlags = setFlagsFromString, v8 = process.versions.v8) {
    this.#setFlags = setFlags;
    const has = hasInterruptBudget(v8);
    this.#late = [has ? '--interrupt-budget=1000000' : '--no-opt'];
    this.#usual = [has ? `--interrupt-budget=${usualInterruptBudget}` : '--opt'];
    this.#hot = has ? this.#late : this.#usual;
  }

  /**
   * For a run that may be over before compiling has paid. A check of one plan of 200 lines takes a tenth less processor time
   * so, one of 1,600 lines a third.
   */
  startQuickly(): void {
    this.#set(...this.#late, ...ofLittle, fewNew);
  }

  /** To be told of all text before it is parsed. */
  reads(bytes: number): void {
    if (this.#read > much) return;
    const before = this.#read;
    this.#read += bytes;
    if (before <= some && this.#read > some) this.#set(...ofSome);
    if (this.#read > much) this.#set(...this.#hot, manyNew);
  }

  /** Back to V8's own settings: it takes kept code only under the flags that it was made with. */
  restore(): void {
    this.#set(...this.#usual, ...ofSome, manyNew);
  }

  /** All at once: V8 takes a third of a millisecond for each call. */
  #set(...flags: readonly string[]): void {
    this.#setFlags(flags.join(' '));
  }
}

/** That of this thread. */
export const effort = new Effort();
