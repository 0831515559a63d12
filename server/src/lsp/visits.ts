import type { Context } from './context.ts';

/** Files that are read at the moment, each once. */
export class Visits {
  readonly #context: Pick<Context, 'host' | 'foreground'>;
  readonly #running = new Map<string, Promise<void>>();
  #expectsGarbage = false;

  constructor(context: Pick<Context, 'host' | 'foreground'>) {
    this.#context = context;
  }

  /** Calls for one key that overlap share one run. */
  run(key: string, visit: (key: string) => Promise<void>): Promise<void> {
    let running = this.#running.get(key);
    if (!running) {
      void this.#expectGarbage();
      running = visit(key).finally(() => this.#running.delete(key));
      this.#running.set(key, running);
    }
    return running;
  }

  /** What runs for a key, if anything does. */
  get(key: string): Promise<void> | undefined {
    return this.#running.get(key);
  }

  /** Until no visit follows the last one: mostly the next begins when one ends. */
  async #expectGarbage(): Promise<void> {
    if (this.#expectsGarbage) return;
    const { host, foreground } = this.#context;
    this.#expectsGarbage = true;
    host.expectGarbage?.(true);
    do {
      // A visit that fails has told whoever waits for it.
      await Promise.allSettled(this.#running.values());
      await foreground.idle();
    } while (this.#running.size > 0);
    this.#expectsGarbage = false;
    host.expectGarbage?.(false);
  }
}
