import type { Connection } from 'vscode-languageserver';
import { Workspace } from '../workspace/workspace.ts';
import type { ClientAbilities } from './client-abilities.ts';
import { OpenDocuments } from './documents.ts';
import { Foreground } from './foreground.ts';
import type { Host } from './host.ts';

/** Shared by all parts of the server: the client, the process, the open files and the texts. */
export class Context {
  readonly documents = new OpenDocuments();
  readonly foreground: Foreground;
  #workspace: Workspace | undefined;

  constructor(
    readonly connection: Connection,
    readonly host: Host,
    readonly client: ClientAbilities,
    /** Tag of the language that the client's user reads; English when undefined. */
    readonly language: string | undefined,
  ) {
    this.foreground = new Foreground(() => host.turn());
  }

  /** Created lazily: it loads the checker, which `initialize` does not need. */
  get workspace(): Workspace {
    return (this.#workspace ??= new Workspace());
  }

  /** Writes an exception into the client's log. */
  report(name: string, error: unknown): void {
    const text = error instanceof Error ? (error.stack ?? error.message) : String(error);
    this.connection.console.error(`${name}: ${text}`);
  }
}
