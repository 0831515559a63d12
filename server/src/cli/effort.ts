import { setFlagsFromString } from 'node:v8';
import { hasInterruptBudget, usualInterruptBudget } from '../base/v8-flags.ts';

/** Text from which on it pays to compile hot code and to give new objects more room. Unit: bytes. */
const much = 256 * 1024;

const fewNew = '--semi-space-growth-factor=1';
const manyNew = '--semi-space-growth-factor=2';

/** How V8 is set for the text that a run reads: quick to start, and fast from much text on. */
export class Effort {
  #read = 0;
  readonly #setFlag: (flag: string) => void;
  /** What keeps V8 from compiling what is not hot enough to pay, and what puts an end to that. */
  readonly #late: readonly string[];
  readonly #usual: readonly string[];
  readonly #ofMuch: readonly string[];

  constructor(setFlag = setFlagsFromString, v8 = process.versions.v8) {
    this.#setFlag = setFlag;
    const has = hasInterruptBudget(v8);
    this.#late = [has ? '--interrupt-budget=1000000' : '--no-opt'];
    this.#usual = [has ? `--interrupt-budget=${usualInterruptBudget}` : '--opt'];
    this.#ofMuch = has ? this.#late : this.#usual;
  }

  /**
   * For a run that may be over before compiling has paid. A check of one plan of 200 lines takes a tenth less processor time
   * so, one of 1,600 lines a third.
   */
  startQuickly(): void {
    this.#set(...this.#late, fewNew);
  }

  /** To be told of all text before it is parsed. */
  reads(bytes: number): void {
    if (this.#read > much) return;
    this.#read += bytes;
    if (this.#read > much) this.#set(...this.#ofMuch, manyNew);
  }

  /** Back to V8's own settings: it takes kept code only under the flags that it was made with. */
  restore(): void {
    this.#set(...this.#usual, manyNew);
  }

  #set(...flags: readonly string[]): void {
    for (const flag of flags) this.#setFlag(flag);
  }
}

/** That of this thread. */
export const effort = new Effort();
