import type { Diagnostic } from 'vscode-languageserver';
import { DiagnosticSeverity } from 'vscode-languageserver';
import { find } from '../features/check.ts';
import type { FoundFinding } from '../features/check.ts';
import { failedMessage, leftOut } from '../features/status.ts';
import { toDiagnostic } from './convert.ts';
import type { Context } from './context.ts';
import type { Files } from './files.ts';
import { Refresher } from './refreshing.ts';
import type { SettingsStore } from './settings-store.ts';

const atStart = { start: { line: 0, character: 0 }, end: { line: 0, character: 0 } };

/** Maximum number of diagnostics per file. */
const maxShown = 200;

/**
 * Checks open files whose findings may have changed and pushes the result. There is no waiting time: whatever
 * has already arrived is taken in first, so a burst of keystrokes is checked once, after its last.
 */
export class DiagnosticsPublisher {
  readonly #context: Context;
  readonly #files: Files;
  readonly #settings: SettingsStore;
  readonly #refresher: Refresher;
  readonly #dirty = new Set<string>();
  #marks = 0;
  #running = false;
  #waiting: (() => void)[] = [];

  constructor(context: Context, files: Files, settings: SettingsStore) {
    this.#context = context;
    this.#files = files;
    this.#settings = settings;
    this.#refresher = new Refresher(context);
  }

  /** @param elsewhere whether the client cannot know of the change, e.g. one on disk */
  mark(keys: Iterable<string>, elsewhere = false): void {
    for (const wake of this.#waiting.splice(0)) wake();
    const { client, connection } = this.#context;
    if (elsewhere) this.#refresher.refresh();
    if (client.pullsDiagnostics) {
      if (elsewhere && client.refreshesDiagnostics) void connection.languages.diagnostics.refresh();
      return;
    }
    for (const key of keys) if (this.#context.documents.get(key)) this.#dirty.add(key);
    this.#marks++;
    if (!this.#running) void this.#context.foreground.run(() => this.#run());
  }

  /** Has the client ask again for what it shows beside the findings. */
  refresh(): void {
    this.#refresher.refresh();
  }

  markAll(): void {
    this.mark(this.#context.documents.keys(), true);
  }

  /** Resolves at the next change of a text, a file or a setting. */
  nextChange(): Promise<void> {
    return new Promise((resolve) => this.#waiting.push(resolve));
  }

  /** @param uri how the client writes the closed file's URI */
  clear(key: string, uri: string): void {
    this.#dirty.delete(key);
    if (this.#context.client.pullsDiagnostics) return;
    void this.#context.connection.sendDiagnostics({ uri, diagnostics: [] });
  }

  async #run(): Promise<void> {
    this.#running = true;
    try {
      while (this.#dirty.size > 0) {
        await this.#quiet();
        await this.#files.load();
        const [key] = this.#dirty;
        if (key === undefined) break;
        this.#dirty.delete(key);
        await this.#publish(key);
      }
    } catch (error) {
      this.#context.report('findings', error);
      // The published findings belong to an earlier text.
      for (const key of this.#dirty) await this.#tell(key, [this.failure()]);
      this.#dirty.clear();
    } finally {
      this.#running = false;
    }
  }

  /** Resolves once a full event-loop turn has brought no new change. */
  async #quiet(): Promise<void> {
    let marks: number;
    do {
      marks = this.#marks;
      // A message that is already queued is handled in the next turn, and may queue work for the one after.
      await this.#context.host.turn();
      await this.#context.host.turn();
    } while (marks !== this.#marks);
  }

  async #publish(key: string): Promise<void> {
    const { documents, host } = this.#context;
    const checked = documents.get(key);
    if (!checked) return;
    const diagnostics = this.diagnosticsOf(key);
    await host.turn();
    // The text has changed meanwhile; the new version is already queued.
    if (documents.get(key)?.version === checked.version) await this.#tell(key, diagnostics);
  }

  async #tell(key: string, diagnostics: Diagnostic[]): Promise<void> {
    const { connection, documents } = this.#context;
    const told = documents.get(key);
    if (!told) return;
    const { uri, version } = told;
    try {
      await connection.sendDiagnostics({ uri, version, diagnostics });
    } catch (error) {
      this.#context.report(`findings of ${uri}`, error);
    }
  }

  /** What is shown of the findings of a file. A fault of ours is one of them: an empty list says that nothing was found. */
  diagnosticsOf(key: string): Diagnostic[] {
    if (this.#files.failed.has(key)) return [this.failure()];
    try {
      return this.#shownOf(key);
    } catch (error) {
      this.#context.report(`findings of ${key}`, error);
      return [this.failure()];
    }
  }

  failure(): Diagnostic {
    return {
      range: atStart,
      severity: DiagnosticSeverity.Error,
      source: 'plugward',
      message: failedMessage(this.#settings.current),
    };
  }

  #shownOf(key: string): Diagnostic[] {
    const found = find(this.#context.workspace, key, this.#settings.current);
    const shown = found.length > maxShown ? gravestFirst(found).slice(0, maxShown) : found;
    const diagnostics = shown.map(({ diagnosis }) => toDiagnostic(this.#context, diagnosis));
    const more = found.length - shown.length;
    if (more > 0) {
      diagnostics.push({
        range: atStart,
        severity: DiagnosticSeverity.Information,
        source: 'plugward',
        message: leftOut(more, maxShown, this.#settings.current),
      });
    }
    return diagnostics;
  }
}

/** By severity; the sort is stable, so text order is kept within each. */
const gravestFirst = (found: readonly FoundFinding[]): FoundFinding[] =>
  (['error', 'warning', 'information'] as const).flatMap((severity) =>
    found.filter((one) => one.severity === severity),
  );
