import type { Context } from './context.ts';

/** Turns of the event loop in which the next visit has begun, where one follows. */
const turnsBetween = 16;

/** Files that are read at the moment, each once. */
export class Visits {
  readonly #context: Pick<Context, 'host' | 'foreground'>;
  readonly #running = new Map<string, Promise<void>>();
  #isBusy = false;
  /** How many have begun since the last time that none ran. */
  #begun = 0;
  #hasParsed = false;

  constructor(context: Pick<Context, 'host' | 'foreground'>) {
    this.#context = context;
  }

  /** Calls for one key that overlap share one run. */
  run(key: string, visit: (key: string) => Promise<void>): Promise<void> {
    let running = this.#running.get(key);
    if (!running) {
      // What may be garbage is a share of the heap, which grows by what is kept.
      if (this.#begun++ % 16 === 0) this.#tell();
      void this.#untilIdle();
      running = visit(key).finally(() => this.#running.delete(key));
      this.#running.set(key, running);
    }
    return running;
  }

  /**
   * To be told by a visit before it parses a text. One that takes over what an earlier process found makes little garbage, and
   * memory that is not taken for new objects is time that is not lost.
   */
  beforeParsing(): void {
    if (this.#hasParsed) return;
    this.#hasParsed = true;
    this.#tell();
  }

  #tell(): void {
    this.#context.host.expectGarbage?.(this.#hasParsed ? 'parsed' : 'taken over');
  }

  /** What runs for a key, if anything does. */
  get(key: string): Promise<void> | undefined {
    return this.#running.get(key);
  }

  /** Mostly the next visit begins soon after one has ended. */
  async #untilIdle(): Promise<void> {
    if (this.#isBusy) return;
    const { host, foreground } = this.#context;
    this.#isBusy = true;
    do {
      // A visit that fails has told whoever waits for it.
      await Promise.allSettled(this.#running.values());
      for (let turn = 0; turn < turnsBetween && this.#running.size === 0; turn++) await foreground.idle();
    } while (this.#running.size > 0);
    this.#isBusy = false;
    this.#begun = 0;
    this.#hasParsed = false;
    host.expectGarbage?.('none');
  }
}
