import type { InitializeParams } from 'vscode-languageserver';
import { URI, Utils } from 'vscode-uri';
import type { Rope } from '../text/rope.ts';
import { kindOf } from '../document/kind.ts';
import type { Summary } from '../workspace/summary.ts';
import { canonicalUri } from './documents.ts';
import { isInside } from './inside.ts';
import type { Context } from './context.ts';
import type { StampedText } from './host.ts';

/** Photographs beyond this are not looked for. */
const maxPhotos = 20_000;
/** More files than a shop writes in its life; of a folder that holds more, the rest counts as unread. */
const maxListed = 100_000;
/** What a text and all that is found in it takes, about. Unit: bytes a character. */
const perCharacter = 100;
/** Files that are read ahead of the one that is looked at. */
const ahead = 4;

/**
 * Keeps the workspace's texts: those of open files from the editor, and what they refer to from disk, as far as
 * it lies in folders that may be read.
 */
export class Files {
  readonly #context: Context;
  readonly #fromDisk = new Set<string>();
  /** Photographs that were looked for. */
  readonly #photos = new Set<string>();
  readonly #changed = new Set<string>();
  /** Files whose text could not be taken in, by a fault of ours: nothing is known about them. */
  readonly failed = new Set<string>();
  /** Files that were forgotten while they were being read. */
  readonly #forgotten = new Set<string>();
  /** Whether a text has come or gone since the workspace was last made current. */
  #stale = true;
  #folders: readonly string[];
  #loading: Promise<void> | undefined;
  /** The files of the folders. */
  #listed: Listed | undefined;
  /** How often something has come, gone or changed on disk. */
  #changes = 0;
  /** The same list for as long as nothing does. */
  #knownRoots: { readonly roots: readonly string[]; readonly changes: number } | undefined;
  /** Files whose text is read once more before anybody looks at them. */
  readonly #again = new Set<string>();
  /** Texts that are read before they are asked for. */
  readonly #ahead = new Map<string, Promise<StampedText | undefined>>();

  constructor(context: Context, params: InitializeParams) {
    this.#context = context;
    const folders =
      params.workspaceFolders?.map(({ uri }) => uri) ?? (params.rootUri ? [params.rootUri] : []);
    this.#folders = folders.map(canonicalUri);
  }

  get folders(): readonly string[] {
    return this.#folders;
  }

  changeFolders(added: readonly string[], removed: readonly string[]): void {
    const gone = new Set(removed.map(canonicalUri));
    this.#folders = [...this.#folders.filter((folder) => !gone.has(folder)), ...added.map(canonicalUri)];
    this.forgetAll();
  }

  /** An open file has new text. It is parsed on the next read, so a burst of keystrokes is parsed once. */
  changed(key: string): void {
    const { workspace, host } = this.#context;
    if (workspace.document(key)) host.letHeapGrow?.(0);
    this.#changed.add(key);
    this.#stale = true;
  }

  /** A file was closed, or has changed, come or gone on disk: it is read again if anything refers to it. */
  forget(key: string): void {
    this.#listed = undefined;
    this.#changes++;
    this.#drop(key);
  }

  #drop(key: string): void {
    if (this.#context.documents.get(key)) return;
    this.#forgotten.add(key);
    this.#stale = true;
    this.failed.delete(key);
    this.#fromDisk.delete(key);
    this.#ahead.delete(key);
    this.#again.delete(key);
    this.#photos.delete(key);
    this.#changed.delete(key);
    this.#context.workspace.remove(key);
    this.#context.workspace.forgetSpellings(key);
  }

  forgetAll(): void {
    this.#listed = undefined;
    this.#changes++;
    for (const key of [...this.#fromDisk, ...this.#photos]) this.forget(key);
  }

  /**
   * Anything may have changed on disk. What is as it was keeps its place, so that nothing that rests on it is computed again;
   * condensed plans are left to `ClosedPlans`.
   */
  lookAgain(): void {
    const { workspace } = this.#context;
    this.#listed = undefined;
    this.#changes++;
    this.#stale = true;
    this.#ahead.clear();
    for (const key of [...this.#fromDisk, ...this.#photos]) {
      if (workspace.summary(key)) continue;
      if (workspace.text(key) === undefined) this.forget(key);
      else this.#again.add(key);
    }
  }

  /** Makes the workspace current. Calls that overlap share one run. */
  load(): Promise<void> {
    if (!this.#stale) return Promise.resolve();
    this.#loading ??= this.#load().finally(() => (this.#loading = undefined));
    return this.#loading;
  }

  /**
   * Makes the workspace current, with all procedures, lists and sheets of its folders, so that no plan misses one that is
   * there.
   * @returns the files of the folders, open ones too
   */
  async loadShared(): Promise<Listed> {
    await this.load();
    const listed = (this.#listed ??= await this.#list());
    for (const key of listed.shared) if (!this.#isKnown(key)) await this.#readAs(key);
    await this.load();
    return listed;
  }

  #isKnown(key: string): boolean {
    return this.#context.documents.get(key) !== undefined || this.#context.workspace.knows(key);
  }

  /**
   * Reads a closed file from disk into the workspace, whether it is there already or not.
   * @param known what is known of a text, to be taken in place of it
   * @returns its stamp
   */
  readAgain(key: string, known?: (text: string) => Summary | undefined): Promise<string | undefined> {
    return this.#readAs(key, known);
  }

  /** Begins to read the files that come next of those that will be asked for. */
  readAhead(keys: readonly string[], from: number): void {
    for (const key of keys.slice(from, from + ahead)) {
      if (!this.#isKnown(key) && !this.#ahead.has(key)) this.#ahead.set(key, this.fromDisk(key));
    }
  }

  /** The same for as long as nobody has written to a file on disk; undefined where that cannot be told. */
  stamp(key: string): Promise<string | undefined> {
    return this.#context.host.files.stamp(key).catch(() => undefined);
  }

  /** The text of a file on disk; undefined where there is none that may be read. */
  fromDisk(key: string): Promise<StampedText | undefined> {
    return this.#context.host.files.read(key, this.#roots());
  }

  /** The bytes of a photograph that a plan names, where they may be read. */
  async photo(uri: string, max: number): Promise<Uint8Array | 'large' | undefined> {
    try {
      return await this.#context.host.files.photo(uri, this.#roots(), max);
    } catch (error) {
      this.#context.report(`reading ${uri}`, error);
      return undefined;
    }
  }

  async #list(): Promise<Listed> {
    const { workspace, host } = this.#context;
    for (;;) {
      const changes = this.#changes;
      const max = host.maxListed ?? maxListed;
      const listed = await host.files.list(this.#folders, max + 1).catch((error: unknown) => {
        this.#context.report('looking through the folders', error);
        return [];
      });
      if (changes !== this.#changes) continue;
      const keys = listed.slice(0, max).map(canonicalUri);
      const plans = keys.filter((key) => kindOf(key) === 'repair-plan');
      // Plans that were read because they were listed, and are left out now, are forgotten.
      const now = new Set(plans);
      for (const key of workspace.uris) if (workspace.summary(key) && !now.has(key)) this.#drop(key);
      return { plans, shared: keys.filter((key) => !now.has(key)), isWhole: listed.length <= max };
    }
  }

  async #load(): Promise<void> {
    const { workspace } = this.#context;
    for (;;) {
      this.#takeChanged();
      const [again] = this.#again;
      if (again !== undefined) {
        this.#again.delete(again);
        if (!this.#context.documents.get(again)) await this.#readAs(again);
        continue;
      }
      const [next] = workspace.missingFiles();
      if (next !== undefined) {
        await this.#read(next);
        continue;
      }
      const photos = workspace.unknownPhotos();
      if (photos.length > 0) {
        await this.#lookFor(photos);
        continue;
      }
      this.#stale = false;
      return;
    }
  }

  /** If the existence of a photograph is unknown, nothing is reported. */
  async #lookFor(photos: readonly string[]): Promise<void> {
    const { workspace, host } = this.#context;
    const looked = photos.slice(0, Math.max(0, maxPhotos - this.#photos.size));
    for (const uri of looked) {
      this.#forgotten.delete(uri);
      this.#photos.add(uri);
    }
    const there = await host.files.whichExist(looked, this.#roots()).catch((error: unknown) => {
      this.#context.report('looking for photographs', error);
      return [];
    });
    // Changed meanwhile: it is looked for again.
    photos.forEach((uri, i) => {
      if (!this.#forgotten.has(uri)) workspace.markPhoto(uri, there[i] ?? true);
    });
  }

  #takeChanged(): void {
    const { workspace, documents, host } = this.#context;
    for (const key of this.#changed) {
      this.#changed.delete(key);
      const document = documents.get(key);
      if (!document) continue;
      // Until the first edit.
      if (!workspace.document(key)) host.letHeapGrow?.(perCharacter * document.text.length);
      this.#set(key, document.text);
    }
  }

  /** A file that cannot be loaded must not block the others. */
  #set(key: string, text: string | Rope): void {
    try {
      this.failed.delete(key);
      this.#context.workspace.set(key, text);
    } catch (error) {
      this.failed.add(key);
      this.#context.report(`reading ${key}`, error);
    }
  }

  /** Reads a file that another one names: by the name the disk has for it, if that differs in spelling only. */
  async #read(key: string): Promise<void> {
    const { workspace, documents, host } = this.#context;
    const called = await host.files.spelling(key).catch(() => undefined);
    if (called === undefined || called === key) return void (await this.#readAs(key));
    this.#fromDisk.add(key);
    if (workspace.text(called) === undefined && !documents.get(called)) await this.#readAs(called);
    this.#stale = true;
    workspace.markAbsent(key);
  }

  async #readAs(key: string, known?: (text: string) => Summary | undefined): Promise<string | undefined> {
    const { workspace, documents, connection } = this.#context;
    this.#forgotten.delete(key);
    this.#fromDisk.add(key);
    const reading = this.#ahead.get(key) ?? this.fromDisk(key);
    this.#ahead.delete(key);
    const read = await reading;
    // If the file was opened meanwhile, the editor's text wins; if it changed on disk meanwhile, this text
    // may be stale.
    if (documents.get(key) || this.#forgotten.has(key)) return undefined;
    this.#stale = true;
    if (read) {
      const summary = known?.(read.text);
      if (summary) workspace.adopt(key, summary);
      else this.#set(key, read.text);
      return read.stamp;
    }
    connection.console.info(`No file that may be read: ${key}`);
    workspace.markAbsent(key);
    return undefined;
  }

  /** The workspace folders, and for each open file outside them its own folder. */
  #roots(): readonly string[] {
    const inside = (key: string) => this.#folders.some((folder) => isInside(key, folder));
    const outside = this.#context.documents.keys().filter((key) => !inside(key));
    const roots = [...this.#folders, ...outside.map((key) => Utils.dirname(URI.parse(key)).toString())];
    const known = this.#knownRoots;
    if (known?.changes === this.#changes && String(known.roots) === String(roots)) return known.roots;
    this.#knownRoots = { roots, changes: this.#changes };
    return roots;
  }
}

/** The files of the folders. */
interface Listed {
  readonly plans: readonly string[];
  /** Procedures, lists and sheets. */
  readonly shared: readonly string[];
  /** Whether the folders hold no more files than these. */
  readonly isWhole: boolean;
}
