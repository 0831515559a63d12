import type { Diagnostic } from 'vscode-languageserver';
import { LSPErrorCodes, MessageType, ResponseError, ShowMessageNotification } from 'vscode-languageserver';
import { find } from '../features/check.ts';
import type { Settings } from '../features/check.ts';
import { unreadMessage } from '../features/status.ts';
import { condense, isSummaryOf } from '../features/summarise.ts';
import type { Summary } from '../workspace/summary.ts';
import { atLineBreak, decoded } from './bytes.ts';
import type { Context } from './context.ts';
import { countedOf } from './counted.ts';
import type { Counted } from './counted.ts';
import type { DiagnosticsPublisher } from './diagnostics.ts';
import { encodedJson } from './encoded-json.ts';
import type { Files } from './files.ts';
import { KnownPlans } from './known-plans.ts';
import type { KnownPlan } from './known-plans.ts';
import type { SettingsStore } from './settings-store.ts';
import { Visits } from './visits.ts';

/** Characters of closed plans that are read. What is kept of them takes about four times as many bytes. */
const maxText = 200_000_000;
/** Files that are read at a time to see whether they have changed. */
const atATime = 16;

/** What a check of a closed plan has found, as it is sent. */
export interface Told {
  /** The same for the same diagnostics. */
  readonly resultId: string;
  readonly diagnostics: Diagnostic[];
}

/** The same as it is kept: of ten thousand plans, as few bytes as can be. */
interface KeptTold {
  readonly resultId: string;
  /** What a list of plans says (null if that failed), a line break and the diagnostics: JSON in UTF-8, packed. */
  readonly said: Uint8Array;
  readonly errors: number;
  readonly findings: number;
  /** What it was found with. */
  readonly settings: Settings;
  readonly state: string | undefined;
}

/**
 * The plans of the folders that nobody has open. Each is read, checked if anybody asks for findings, and let go of but for a
 * summary; what is asked of it beyond that has it read again.
 */
export class ClosedPlans {
  readonly #context: Context;
  readonly #files: Files;
  readonly #settings: SettingsStore;
  readonly #publisher: DiagnosticsPublisher;
  readonly #told = new WeakMap<Summary, KeptTold>();
  /** What tells that nobody has written to a plan since it was read. */
  readonly #stamps = new WeakMap<Summary, string>();
  /** What was found last: as a rule it is asked for at once. */
  #latest: { readonly kept: KeptTold; readonly json: Uint8Array } | undefined;
  readonly #visits: Visits;
  /** Plans of which the tree is needed at the moment, and by how many. */
  readonly #held = new Map<string, number>();
  /** Whether anybody asks for findings of closed plans. */
  #areChecked: boolean;
  /** Null once it is known that it must be done without. */
  #cache: KnownPlans | null | undefined;
  readonly #cacheFolder: string | undefined;
  #lastId = 0;
  #unread: ReadonlySet<string> = new Set();
  #isListWhole = true;
  /** Plans that may have changed on disk since they were read, and are not looked at yet. */
  readonly #unsure = new Set<string>();
  /** Settles when those are looked at that were unsure before. */
  #sure: Promise<void> = Promise.resolve();
  #toldUnread = false;

  /** @param cacheFolder URI of a folder in which what is found may be kept for the next start */
  constructor(
    context: Context,
    files: Files,
    settings: SettingsStore,
    publisher: DiagnosticsPublisher,
    cacheFolder: string | undefined,
  ) {
    this.#cacheFolder = cacheFolder;
    this.#context = context;
    this.#visits = new Visits(context);
    this.#files = files;
    this.#settings = settings;
    this.#publisher = publisher;
    this.#areChecked = context.client.pullsDiagnostics;
  }

  /**
   * How many plans of the folders are not read, because no more are kept; at least so many where there are more files than are
   * listed. While there are some, what concerns all files is known in part only.
   */
  get unread(): number {
    return this.#unread.size + (this.#isListWhole ? 0 : 1);
  }

  isUnread(key: string): boolean {
    return this.#unread.has(key);
  }

  /** Makes the workspace current and complete: every file of its folders is in it, or counted in `unread`. */
  async loadAll(): Promise<void> {
    const { workspace } = this.#context;
    let read: number;
    do {
      read = 0;
      for await (const key of this.keys()) {
        if (workspace.knows(key)) continue;
        read++;
        await this.#visit(key);
      }
      // What has come or changed meanwhile.
    } while (read > 0);
  }

  /**
   * The closed plans of the folders, one after the other, as many as are kept. Before the next one is asked for, this one
   * should have been read.
   */
  async *keys(): AsyncGenerator<string> {
    const { workspace, documents, host } = this.#context;
    const { plans, isWhole } = await this.#files.loadShared();
    this.#isListWhole = isWhole;
    await this.#makeSure();
    const max = host.maxText ?? maxText;
    const length = (key: string): number =>
      documents.get(key) ? 0 : (workspace.summary(key)?.print.length ?? 0);
    let kept = plans.reduce((sum, key) => sum + length(key), 0);
    const unread = new Set<string>();
    for (const [at, key] of plans.entries()) {
      if (documents.get(key)) continue;
      const isNew = !workspace.knows(key);
      if (isNew && kept >= max) unread.add(key);
      if (unread.has(key)) continue;
      if (isNew) this.#files.readAhead(plans, at);
      yield key;
      if (isNew) kept += length(key);
    }
    this.#unread = unread;
    this.#tellUnread();
    this.#cache?.sweep();
  }

  /** Anything may have changed on disk: each plan is looked at before it is used again. */
  lookAgain(): void {
    const { workspace } = this.#context;
    for (const key of workspace.uris) if (workspace.summary(key)) this.#unsure.add(key);
  }

  /** @throws what reading failed with; the plans are then as unsure as before */
  #makeSure(): Promise<void> {
    const keys = [...this.#unsure];
    this.#unsure.clear();
    if (keys.length === 0) return this.#sure;
    const looked = Promise.all([this.#sure, this.#confirm(keys)]).then(() => undefined);
    this.#sure = looked.catch((error: unknown) => {
      for (const key of keys) this.#unsure.add(key);
      this.#sure = Promise.resolve();
      throw error;
    });
    return this.#sure;
  }

  /** Once, where everybody sees it: what follows may look complete. */
  #tellUnread(): void {
    const { connection, language } = this.#context;
    const count = this.unread;
    if (count === 0 || this.#toldUnread) return;
    this.#toldUnread = true;
    const message = unreadMessage(count, { language });
    void connection.sendNotification(ShowMessageNotification.type, { type: MessageType.Warning, message });
  }

  /** What a check of a closed plan finds; undefined for a file that is open, kept whole, failed or gone. */
  async told(key: string): Promise<Told | undefined> {
    const kept = await this.#current(key);
    if (!kept) return undefined;
    const [, diagnostics] = this.#said(kept);
    const { resultId } = kept;
    return {
      resultId,
      diagnostics: this.#context.host.sendsEncoded ? encodedJson(diagnostics) : parsed(diagnostics),
    };
  }

  /** Of the same, what a list of plans says. */
  async counted(key: string): Promise<Counted | undefined> {
    const kept = await this.#current(key);
    if (!kept) return undefined;
    const { errors, findings } = kept;
    return { errors, findings, plan: parsed(this.#said(kept)[0]) };
  }

  /** What a list of plans says, and the diagnostics. */
  #said(kept: KeptTold): [Uint8Array, Uint8Array] {
    const { packing } = this.#context.host;
    const latest = this.#latest?.kept === kept ? this.#latest.json : undefined;
    return atLineBreak(latest ?? packing?.unpack(kept.said) ?? kept.said);
  }

  /** Of the same, only what tells whether it has changed. */
  async resultId(key: string): Promise<string | undefined> {
    return (await this.#current(key))?.resultId;
  }

  async #current(key: string): Promise<KeptTold | undefined> {
    const { workspace } = this.#context;
    this.#areChecked = true;
    await this.#visits.get(key);
    const known = this.#known(key);
    if (known && this.#isCurrent(key, known)) return known;
    if (this.#context.documents.get(key) || (workspace.knows(key) && !workspace.summary(key)))
      return undefined;
    await this.#visit(key);
    return this.#known(key);
  }

  #known(key: string): KeptTold | undefined {
    const summary = this.#context.workspace.summary(key);
    return summary && this.#told.get(summary);
  }

  #isCurrent(key: string, { settings, state }: KeptTold): boolean {
    const now = this.#settings.current;
    return (
      settings.today === now.today &&
      settings.severities === now.severities &&
      settings.language === now.language &&
      state === this.#context.workspace.stateOf(key)
    );
  }

  /** Reads a closed plan and condenses it. */
  #visit(key: string): Promise<void> {
    return this.#visits.run(key, (one) => this.#read(one));
  }

  /**
   * In parts of a few milliseconds, between which what somebody waits for is done. What another process has found is taken
   * over if all it rests on is as it was.
   */
  async #read(key: string): Promise<void> {
    const { foreground, workspace } = this.#context;
    const before = workspace.summary(key);
    const settings = this.#settings.current;
    const cache = this.#areChecked ? this.#knownPlans() : undefined;
    let earlier: KnownPlan | undefined;
    await foreground.idle();
    let stamp = await this.#files.readAgain(key, (text) => {
      earlier = cache?.find(key, text, settings);
      if (!earlier) this.#visits.beforeParsing();
      return earlier?.summary;
    });
    if (!earlier) await foreground.idle();
    await this.#files.load();
    if (earlier && workspace.summary(key) === earlier.summary) {
      if (cache?.isCurrent(key, earlier)) {
        const { summary, said, errors, findings } = earlier;
        const resultId = this.#resultIdOf(said, before && this.#told.get(before));
        const state = workspace.stateOf(key);
        this.#told.set(summary, { resultId, said, errors, findings, settings, state });
        if (stamp !== undefined) this.#stamps.set(summary, stamp);
        return;
      }
      this.#visits.beforeParsing();
      stamp = await this.#files.readAgain(key);
      await foreground.idle();
      await this.#files.load();
    }
    if (this.#areChecked) {
      find(workspace, key, this.#settings.current);
      await foreground.idle();
      await this.#files.load();
      this.#tell(key, before, cache);
    } else this.#condense(key, before);
    const summary = workspace.summary(key);
    if (summary && stamp !== undefined) this.#stamps.set(summary, stamp);
  }

  /** Opened when the first plan is checked; a client that names no folder wants none. */
  #knownPlans(): KnownPlans | undefined {
    if (!this.#settings.keepsFindings || this.#cacheFolder === undefined) return undefined;
    if (this.#cache === undefined) {
      const cache = this.#context.host.cacheIn?.(this.#cacheFolder, this.#files.folders);
      this.#cache = cache ? new KnownPlans(this.#context, cache) : null;
    }
    return this.#cache ?? undefined;
  }

  #resultIdOf(said: Uint8Array, before: KeptTold | undefined): string {
    return before && alike(before.said, said) ? before.resultId : `closed ${++this.#lastId}`;
  }

  /** @param before what was kept of it until it was read */
  #condense(key: string, before: Summary | undefined): void {
    const { workspace, documents } = this.#context;
    if (!documents.get(key) && !this.#held.has(key)) condense(workspace, key, before);
  }

  /** Keeps what was found. Asked again, `find` answers at once unless something has changed. */
  #tell(key: string, before: Summary | undefined, cache: KnownPlans | undefined): void {
    const { workspace, documents } = this.#context;
    if (documents.get(key)) return;
    const settings = this.#settings.current;
    const counted = countedOf(this.#context, key, settings);
    if (!counted) return;
    const { plan = null, errors, findings } = counted;
    // A check that failed is tried again whenever it is asked for.
    const hasFailed = find(workspace, key, settings).some(({ failed }) => failed);
    const state = hasFailed ? undefined : workspace.stateOf(key);
    const diagnostics = this.#publisher.diagnosticsOf(key);
    const text = workspace.text(key)!;
    const json = new TextEncoder().encode(`${JSON.stringify(plan)}\n${JSON.stringify(diagnostics)}`);
    const bytes = Uint8Array.from(this.#context.host.packing?.pack(json) ?? json);
    const toldBefore = before && this.#told.get(before);
    this.#condense(key, before);
    const summary = workspace.summary(key);
    if (!summary) return;
    const resultId = this.#resultIdOf(bytes, toldBefore);
    const kept: KeptTold = { resultId, errors, findings, said: bytes, settings, state };
    this.#told.set(summary, kept);
    this.#latest = { kept, json };
    if (state !== undefined && plan) cache?.keep(key, text, settings, { summary, ...kept });
  }

  /** Runs something that needs the tree of a file, which is read again if only its summary is kept. */
  async withTree<R>(key: string | undefined, run: () => R | Promise<R>): Promise<R> {
    if (key === undefined) return run();
    await this.#visits.get(key);
    const before = this.#context.workspace.summary(key);
    if (!before) return run();
    this.#held.set(key, (this.#held.get(key) ?? 0) + 1);
    try {
      await this.#files.readAgain(key);
      await this.#files.load();
      return await run();
    } finally {
      const left = this.#held.get(key)! - 1;
      if (left > 0) this.#held.set(key, left);
      else this.#held.delete(key);
      // Of another text, what is told is found again when somebody asks.
      this.#condense(key, before);
    }
  }

  /**
   * Computes what rests on places in closed plans. Those that it concerns are looked at once more: a text that has changed on
   * disk, which nobody told of, counts. What is edited meanwhile counts as well.
   * @param asked the file in which the place stands that was asked about
   * @param concerned the files that a result concerns
   * @throws ResponseError when that file has changed meanwhile, so that something else may stand at the place
   */
  async confirmed<R>(
    asked: string | undefined,
    compute: () => R,
    concerned: (result: R) => Iterable<string>,
  ): Promise<R> {
    const { workspace, documents } = this.#context;
    const seen = new Set<string>();
    const opened = asked === undefined ? undefined : documents.get(asked);
    const version = opened?.version;
    for (;;) {
      const { revision } = workspace;
      const result = compute();
      const next = [...new Set(concerned(result))].filter((key) => !seen.has(key) && workspace.summary(key));
      if (next.length === 0) return result;
      for (const key of next) seen.add(key);
      await this.#confirm(next);
      await this.#files.load();
      if (opened && documents.get(asked!)?.version !== version)
        throw new ResponseError(LSPErrorCodes.ContentModified, 'the file has changed meanwhile');
      if (workspace.revision === revision) return result;
    }
  }

  async #confirm(keys: readonly string[]): Promise<void> {
    const { workspace } = this.#context;
    const changed: string[] = [];
    for (let at = 0; at < keys.length; at += atATime) {
      await Promise.all(
        keys.slice(at, at + atATime).map(async (key) => {
          if (!workspace.summary(key)) return;
          const stamp = await this.#files.stamp(key);
          const summary = workspace.summary(key);
          if (!summary || (stamp !== undefined && this.#stamps.get(summary) === stamp)) return;
          const read = await this.#files.fromDisk(key);
          if (!read || !isSummaryOf(summary, read.text)) changed.push(key);
          else if (read.stamp !== undefined) this.#stamps.set(summary, read.stamp);
        }),
      );
    }
    if (changed.length === 0) return;
    for (const key of changed) {
      this.#files.forget(key);
      await this.#visit(key);
    }
    this.#publisher.mark(changed, true);
  }
}

const alike = (a: Uint8Array, b: Uint8Array): boolean =>
  a.length === b.length && a.every((byte, at) => byte === b[at]);

const parsed = <T>(json: Uint8Array): T => JSON.parse(decoded(json)) as T;
