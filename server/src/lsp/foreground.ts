/** What somebody waits for at the moment. Work in the background stands back until it is done. */
export class Foreground {
  readonly #turn: () => Promise<void>;
  #waiting = 0;

  constructor(turn: () => Promise<void>) {
    this.#turn = turn;
  }

  /** Runs something that somebody waits for, and that waits for nothing in the background itself. */
  async run<R>(work: () => Promise<R>): Promise<R> {
    this.#waiting++;
    try {
      return await work();
    } finally {
      this.#waiting--;
    }
  }

  /** Somebody types, and will ask for something at once: messages are handled one in a turn. */
  expect(): void {
    void this.run(async () => {
      for (let turns = 0; turns < 4; turns++) await this.#turn();
    });
  }

  /** Resolves in a later turn of the event loop, when nobody waits for anything. */
  async idle(): Promise<void> {
    // A message that has arrived is read in one turn and handled in the next.
    await this.#turn();
    do await this.#turn();
    while (this.#waiting > 0);
  }
}
