import { CodeLensRefreshRequest } from 'vscode-languageserver';
import type { Context } from './context.ts';

/**
 * Tells a client that what it shows of its files has changed without an edit of theirs: a sheet, a list or a setting. One
 * request of a kind is on its way at a time; what changes meanwhile is told by one more.
 */
export class Refresher {
  readonly #context: Context;
  #running = false;
  #again = false;

  constructor(context: Context) {
    this.#context = context;
  }

  refresh(): void {
    this.#again = true;
    if (!this.#running) void this.#run();
  }

  async #run(): Promise<void> {
    const { connection, client, host } = this.#context;
    this.#running = true;
    while (this.#again) {
      // What has arrived already is taken in first.
      await host.turn();
      this.#again = false;
      const asked: Promise<unknown>[] = [];
      if (client.refreshesLenses) asked.push(connection.sendRequest(CodeLensRefreshRequest.type));
      if (client.refreshesHints) asked.push(connection.languages.inlayHint.refresh());
      if (client.refreshesTokens) asked.push(connection.languages.semanticTokens.refresh());
      if (client.hearsChanges) asked.push(connection.sendNotification('plugward/changed', {}));
      for (const one of asked) await one.catch((error: unknown) => this.#context.report('refresh', error));
    }
    this.#running = false;
  }
}
