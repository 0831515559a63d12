import { readDocument } from '../document/document.ts';
import type { Document } from '../document/document.ts';
import { kindOf } from '../document/kind.ts';
import type { Kind } from '../document/kind.ts';
import { QueryCache, sameMembers } from '../incremental/query.ts';
import type { LineIndex } from '../text/line-index.ts';
import { Rope } from '../text/rope.ts';
import { sortedEdits } from '../text/span.ts';
import type { Edit } from '../text/span.ts';
import { SnapshotPlan } from '../plan/plan.ts';
import type { Plan } from '../plan/plan.ts';
import { createSnapshot, sameSettings } from '../plan/snapshot.ts';
import type { Scope } from '../plan/scope.ts';
import { Links } from './links.ts';
import type { Basis } from './basis.ts';
import { reachOf } from './reach.ts';
import type { Reach } from './reach.ts';
import { photosIn, usesOf } from './named-files.ts';
import type { NamedFile } from './named-files.ts';
import { SharedScopes } from './shared-scopes.ts';
import { foldedUri, Spellings } from './spelling.ts';
import type { Summary } from './summary.ts';
import type { CheckSettings, MisspelledUse, UnresolvedUse } from '../plan/snapshot.ts';

interface CachedPlan {
  readonly plan: Plan;
  /** The documents and unresolved entries it was built from; valid while these are unchanged. */
  readonly from: readonly unknown[];
}

/**
 * The texts of many files, in memory, and the plans built from them. It does no I/O: an adapter sets texts,
 * asks for the `missingFiles()`, and loads them.
 */
export class Workspace {
  readonly #documents = new Map<string, Document>();
  readonly #texts = new Map<string, Rope>();
  /** Closed plans, of which only a summary is kept. */
  readonly #summaries = new Map<string, Summary>();
  readonly #absent = new Set<string>();
  readonly #links = new Links();
  /** Numbers of texts: no other text ever gets the same. */
  readonly #revisions = new Map<string, number>();
  #lastRevision = 0;
  readonly #sharedScopes = new SharedScopes();
  readonly #spellings = new Spellings();
  /** Whether a photograph exists, by URI, as far as known. */
  readonly #photos = new Map<string, boolean>();
  /** Photographs that plans name and of which that is not known. */
  readonly #unknownPhotos = new Set<string>();
  readonly #plans = new Map<string, CachedPlan>();
  /** Files whose documents are shared with another workspace: their nodes must not move. */
  #shared = new Set<string>();

  /**
   * Adds or replaces a text. A file of unknown kind is kept as text only.
   * @throws Error when reading fails, a fault of ours; the file then has no document.
   */
  set(uri: string, given: string | Rope): void {
    const text = Rope.of(given);
    if (this.#texts.get(uri)?.equals(text)) return;
    if (!this.#texts.has(uri)) this.#spellings.add(uri);
    this.#texts.set(uri, text);
    this.#summaries.delete(uri);
    this.#revisions.set(uri, ++this.#lastRevision);
    this.#absent.delete(uri);
    const kind = kindOf(uri) ?? kindOf(uri, String(text));
    const earlier = this.#shared.delete(uri) ? undefined : this.#documents.get(uri);
    const photos = this.#photosOf(uri);
    try {
      if (kind) this.#documents.set(uri, readDocument(uri, kind, text, earlier));
      else this.#documents.delete(uri);
    } catch (error) {
      // Do not reuse the document of the earlier text.
      this.#documents.delete(uri);
      throw error;
    } finally {
      this.#noteLinks(uri, photos);
    }
  }

  /** Greater after each change of what names mean and where they stand: files that come, change or go. */
  get revision(): number {
    return this.#lastRevision;
  }

  /** After a file has changed, come or gone: which files and photographs it leads to. */
  #noteLinks(uri: string, photosBefore: readonly string[]): void {
    this.#lastRevision++;
    const photos = this.#photosOf(uri);
    const uses = this.#usesOf(uri).map((use) => use.uri);
    this.#links.set(uri, uses, photos);
    for (const photo of photos) if (!this.#photos.has(photo)) this.#unknownPhotos.add(photo);
    for (const photo of photosBefore) if (!this.#links.isNamed(photo)) this.#forgetPhoto(photo);
  }

  /** A photograph that no plan names any more. */
  #forgetPhoto(uri: string): void {
    this.#photos.delete(uri);
    this.#unknownPhotos.delete(uri);
  }

  /**
   * Keeps of a plan only a summary, made from its present text. A file that another one uses is kept whole.
   * @returns whether that was done
   */
  condense(uri: string, summary: Summary): boolean {
    if (!this.#documents.has(uri) || this.dependents(uri).length > 1) return false;
    this.#texts.delete(uri);
    this.#documents.delete(uri);
    this.#plans.delete(uri);
    this.#summaries.set(uri, summary);
    return true;
  }

  /** Takes in a plan by a summary of its text, made at another time. */
  adopt(uri: string, summary: Summary): void {
    this.remove(uri);
    this.#spellings.add(uri);
    this.#summaries.set(uri, summary);
    this.#noteLinks(uri, []);
  }

  /** What is kept of a plan that was condensed. */
  summary(uri: string): Summary | undefined {
    return this.#summaries.get(uri);
  }

  /** Whether anything is known of a file: its text, its summary, or that it is not there. */
  knows(uri: string): boolean {
    return this.#texts.has(uri) || this.#summaries.has(uri) || this.#absent.has(uri);
  }

  /**
   * Applies edits one by one, last first, and reparses after each; applied together they would count as one
   * change from the first to the last.
   * @returns the inverse edits
   * @throws RangeError if two edits overlap or one lies outside the text; nothing is changed then.
   */
  edit(uri: string, edits: readonly Edit[]): Edit[] {
    const before = this.#texts.get(uri) ?? Rope.of('');
    const own = sortedEdits(edits, before.length, uri);
    const back: Edit[] = [];
    let shift = 0;
    for (const { start, end, text } of own) {
      const from = start + shift;
      back.push({ uri, start: from, end: from + text.length, text: before.slice(start, end) });
      shift += text.length - (end - start);
    }
    for (const { start, end, text } of own.reverse()) {
      this.set(uri, (this.#texts.get(uri) ?? before).replaced(start, end, text));
    }
    return back;
  }

  /** Forgets a file; if another one uses it, it is wanted again. What is known of its photographs goes with it. */
  remove(uri: string): void {
    const photos = this.#photosOf(uri);
    this.#photos.delete(uri);
    if (this.#links.isNamed(uri)) this.#unknownPhotos.add(uri);
    this.#spellings.delete(uri);
    this.#texts.delete(uri);
    this.#summaries.delete(uri);
    this.#revisions.delete(uri);
    this.#documents.delete(uri);
    this.#plans.delete(uri);
    this.#absent.delete(uri);
    this.#noteLinks(uri, photos);
  }

  /** Says that there is no such file, or that it may not be read. */
  markAbsent(uri: string): void {
    this.remove(uri);
    this.#absent.add(uri);
  }

  /**
   * The file that a `uses:` entry means: the one it names, or where there is none such, the only one whose name differs in
   * capitals or in how accented letters are composed, and in nothing else.
   */
  meant(uri: string): string {
    return this.#absent.has(uri) ? (this.#spellings.only(uri) ?? uri) : uri;
  }

  /** Whether a `uses:` entry means a file under another spelling of its name, or would if there were one. */
  #mayMean(uri: string, file: string): boolean {
    return this.#absent.has(uri) && foldedUri(uri) === foldedUri(file);
  }

  /** Something has changed on the disk at `uri`: names that differ from it in spelling only are looked for again. */
  forgetSpellings(uri: string): void {
    if (this.#absent.size === 0) return;
    this.#lastRevision++;
    for (const each of this.#absent) if (this.#mayMean(each, uri)) this.#absent.delete(each);
  }

  /** The files that others use and that were neither set nor marked absent. */
  missingFiles(): string[] {
    const wanted: string[] = [];
    for (const uri of this.#links.used) {
      if (!this.#texts.has(uri) && !this.#absent.has(uri) && kindOf(uri)) wanted.push(uri);
    }
    return wanted;
  }

  /** The photographs that plans name and whose existence is not known yet. They are never read. */
  unknownPhotos(): string[] {
    return [...this.#unknownPhotos];
  }

  /** Records whether such a photograph exists, as far as the adapter may look. */
  markPhoto(uri: string, isThere: boolean): void {
    this.#photos.set(uri, isThere);
    this.#unknownPhotos.delete(uri);
  }

  #photosOf(uri: string): readonly string[] {
    const document = this.#documents.get(uri);
    return document ? photosIn(document).map((photo) => photo.uri) : (this.#summaries.get(uri)?.photos ?? []);
  }

  #usesOf(uri: string): readonly NamedFile[] {
    const document = this.#documents.get(uri);
    return document ? usesOf(document) : (this.#summaries.get(uri)?.uses ?? []);
  }

  /** The files whose findings may change when `uri` changes, itself first. */
  dependents(uri: string): string[] {
    const found = new Set([uri]);
    for (const target of found) {
      for (const user of this.#links.users(target)) found.add(user);
      for (const other of this.#absent) {
        if (this.#mayMean(other, target)) for (const user of this.#links.users(other)) found.add(user);
      }
    }
    // Our own file kinds are never photographs.
    if (!kindOf(uri)) for (const plan of this.#links.naming(uri)) found.add(plan);
    return [...found];
  }

  /**
   * What the findings of a file rest on beside its own text and the settings: the files it uses, directly and indirectly, and
   * the photographs it names. Undefined while one of them is not found under its own name, or has not been looked for.
   */
  basisOf(uri: string, digestOf: (text: string) => string): Basis | undefined {
    if (this.kind(uri) === undefined) return undefined;
    const own = this.#usesOf(uri);
    const { used } = this.#reach(uri, own);
    for (const use of [...own, ...used.flatMap(usesOf)]) {
      if (kindOf(use.uri) && !this.#documents.has(use.uri)) return undefined;
    }
    const photos: [uri: string, isThere: boolean][] = [];
    for (const photo of this.#photosOf(uri)) {
      const isThere = this.#photos.get(photo);
      if (isThere === undefined) return undefined;
      photos.push([photo, isThere]);
    }
    return { used: used.map((each) => [each.uri, digestOf(each.text)]), photos };
  }

  /** The same as long as nothing changes of what the findings of a file rest on, beside its own text and the settings. */
  stateOf(uri: string): string {
    const { used, unresolved, misspelled } = this.#reach(uri, this.#usesOf(uri));
    const lost = this.#photosOf(uri).filter((photo) => this.#photos.get(photo) === false);
    return JSON.stringify([
      used.map((each) => this.#revisions.get(each.uri)),
      unresolved.map(({ use }) => use.path),
      misspelled.map(({ use, called }) => [use.path, called]),
      lost,
    ]);
  }

  /** The files that one uses, directly and through others, and whether all it names are there. */
  usedBy(uri: string): { readonly used: readonly Document[]; readonly isWhole: boolean } {
    const { used, unresolved } = this.#reach(uri, this.#usesOf(uri));
    return { used, isWhole: unresolved.every(({ use }) => !kindOf(use.uri)) };
  }

  /** What names mean to a condensed plan by the files it uses; its own definitions stand in its summary. */
  sharedScope(used: readonly Document[]): Scope {
    return this.#sharedScopes.of(used);
  }

  /** A copy for experiments without condensed plans, which shares parsed documents. Valid only until this workspace is edited. */
  fork(): Workspace {
    const copy = new Workspace();
    copy.#shared = new Set(this.#documents.keys());
    for (const [uri, text] of this.#texts) {
      copy.#texts.set(uri, text);
      copy.#spellings.add(uri);
    }
    for (const [uri, isThere] of this.#photos) copy.#photos.set(uri, isThere);
    for (const [uri, document] of this.#documents) {
      copy.#documents.set(uri, document);
      copy.#noteLinks(uri, []);
    }
    for (const uri of this.#absent) copy.#absent.add(uri);
    return copy;
  }

  /**
   * Makes this workspace hold the same texts as `other` for `uri` and the files it uses, and nothing else. No
   * document is shared: both can go on being edited, and each reparses only what changed.
   */
  mirror(other: Workspace, uri: string): void {
    const document = other.#documents.get(uri);
    const used = document ? other.#reach(uri, usesOf(document)).used : [];
    const held = new Set([uri, ...used.map((each) => each.uri)]);
    for (const one of this.uris) if (!held.has(one)) this.remove(one);
    for (const one of held) {
      const text = other.#texts.get(one);
      if (text === undefined) this.remove(one);
      else this.set(one, text);
    }
    // A file that is meant by another spelling of its name is one that is not there as it is named.
    for (const each of document ? [document, ...used] : []) {
      for (const use of usesOf(each)) if (other.#absent.has(use.uri)) this.#absent.add(use.uri);
    }
    for (const photo of this.#photosOf(uri)) {
      const isThere = other.#photos.get(photo);
      if (isThere !== undefined) this.markPhoto(photo, isThere);
    }
  }

  /** The photographs that plans name, as far as somebody has looked for them. */
  get photos(): readonly string[] {
    return [...this.#photos.keys()];
  }

  /** The files that are there, whole or condensed. */
  get uris(): readonly string[] {
    return [...this.#texts.keys(), ...this.#summaries.keys()];
  }

  text(uri: string): string | undefined {
    return this.#texts.get(uri)?.toString();
  }

  lines(uri: string): LineIndex | undefined {
    return (this.#documents.get(uri) ?? this.#summaries.get(uri))?.lines;
  }

  /** The tree of a file; undefined for a condensed plan. */
  document(uri: string): Document | undefined {
    return this.#documents.get(uri);
  }

  kind(uri: string): Kind | undefined {
    return (this.#documents.get(uri) ?? this.#summaries.get(uri))?.kind;
  }

  /**
   * The document with everything it uses, read as a plan. Built once for the same texts and settings.
   * @param settings those of the call before when absent: only the checks look at them
   */
  plan(uri: string, settings?: CheckSettings): Plan | undefined {
    const document = this.#documents.get(uri);
    if (!document) return undefined;
    const reach = this.#reach(uri, usesOf(document));
    const { used } = reach;
    const unresolved = reach.unresolved.map(({ use }): UnresolvedUse => {
      const kind = kindOf(use.uri);
      return { path: use.path, span: use.node.span, kind, reason: kind ? 'absent' : 'unknown-kind' };
    });
    const misspelled = reach.misspelled.map(({ use, called }): MisspelledUse => ({ ...use, called }));
    const lost = photosIn(document).flatMap((photo) =>
      this.#photos.get(photo.uri) === false ? photo.node : [],
    );
    const from: unknown[] = [document, ...used, ...unresolved.map(({ path, reason }) => `${path} ${reason}`)];
    from.push(...misspelled.map(({ path, called }) => `${path} ${called}`), ...lost);
    const known = this.#plans.get(uri);
    const before = known?.plan.reading;
    const isSame = !settings || (before && sameSettings(before.settings, settings));
    if (known && isSame && sameMembers(known.from, from)) return known.plan;
    const now = (isSame ? before?.settings : settings) ?? {};
    const memory = before?.memory ?? new QueryCache();
    const plan = new SnapshotPlan(createSnapshot(document, used, unresolved, misspelled, lost, now, memory));
    this.#plans.set(uri, { plan, from });
    return plan;
  }

  /** The files to which a file's `uses:` lead. */
  #reach<U extends NamedFile>(uri: string, uses: readonly U[]): Reach<U> {
    return reachOf(
      uri,
      uses,
      (used) => this.#documents.get(used),
      (used) => this.meant(used),
    );
  }
}
