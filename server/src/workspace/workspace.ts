import { URI, Utils } from 'vscode-uri';
import { readDocument } from '../document/document.ts';
import type { Document } from '../document/document.ts';
import { kindOf } from '../document/kind.ts';
import { mapsIn } from '../document/node.ts';
import type { ListNode, MapNode, ScalarNode } from '../document/node.ts';
import { memoByIdentity } from '../incremental/memo.ts';
import { QueryCache, sameMembers } from '../incremental/query.ts';
import type { LineIndex } from '../text/line-index.ts';
import { Rope } from '../text/rope.ts';
import { sortedEdits } from '../text/span.ts';
import type { Edit } from '../text/span.ts';
import type { RepairPlan } from '../generated/repair-plan.ts';
import { SnapshotPlan } from '../plan/plan.ts';
import type { Plan } from '../plan/plan.ts';
import { createSnapshot } from '../plan/snapshot.ts';
import { foldedUri, spelledAs } from './spelling.ts';
import type { CheckSettings, MisspelledUse, UnresolvedUse } from '../plan/snapshot.ts';

export { kindOf };

/** A resolved `uses:` entry. */
interface Use {
  readonly path: string;
  readonly uri: string;
  readonly node: ScalarNode<string>;
}

/** What findings rest on. */
export interface Basis {
  readonly used: readonly string[];
  readonly photos: readonly (readonly [uri: string, isThere: boolean])[];
}

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
  readonly #absent = new Set<string>();
  /** The files by what all spellings of their names have in common. */
  readonly #spellings = new Map<string, Set<string>>();
  /** Whether a photograph exists, by URI, as far as known. */
  readonly #photos = new Map<string, boolean>();
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
    if (!this.#texts.has(uri)) this.#noteSpelling(uri);
    this.#texts.set(uri, text);
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
    }
    if (photos !== this.#photosOf(uri)) this.#forgetPhotos(photos);
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
    if (this.#texts.delete(uri)) this.#spellings.get(foldedUri(uri))?.delete(uri);
    this.#documents.delete(uri);
    this.#plans.delete(uri);
    this.#absent.delete(uri);
    this.#forgetPhotos(photos);
  }

  /** Says that there is no such file, or that it may not be read. */
  markAbsent(uri: string): void {
    this.remove(uri);
    this.#absent.add(uri);
  }

  #noteSpelling(uri: string): void {
    const folded = foldedUri(uri);
    const known = this.#spellings.get(folded);
    if (known) known.add(uri);
    else this.#spellings.set(folded, new Set([uri]));
  }

  /**
   * The file that a `uses:` entry means: the one it names, or where there is none such, the only one whose name differs in
   * capitals or in how accented letters are composed, and in nothing else.
   */
  meant(uri: string): string {
    if (!this.#absent.has(uri)) return uri;
    const [meant, another] = this.#spellings.get(foldedUri(uri)) ?? [];
    return meant !== undefined && another === undefined ? meant : uri;
  }

  /** Whether a `uses:` entry means a file under another spelling of its name, or would if there were one. */
  #mayMean(uri: string, file: string): boolean {
    return this.#absent.has(uri) && foldedUri(uri) === foldedUri(file);
  }

  /** Something has changed on the disk at `uri`: names that differ from it in spelling only are looked for again. */
  forgetSpellings(uri: string): void {
    if (this.#absent.size === 0) return;
    for (const each of this.#absent) if (this.#mayMean(each, uri)) this.#absent.delete(each);
  }

  /** The files that others use and that were neither set nor marked absent. */
  missingFiles(): string[] {
    const wanted = new Set<string>();
    for (const document of this.#documents.values()) {
      for (const { uri } of usesOf(document)) {
        if (!this.#texts.has(uri) && !this.#absent.has(uri) && kindOf(uri)) wanted.add(uri);
      }
    }
    return [...wanted];
  }

  /** The photographs that plans name and whose existence is not known yet. They are never read. */
  unknownPhotos(): string[] {
    const wanted = new Set<string>();
    for (const uri of this.#documents.keys()) {
      for (const photo of this.#photosOf(uri)) if (!this.#photos.has(photo.uri)) wanted.add(photo.uri);
    }
    return [...wanted];
  }

  /** Records whether such a photograph exists, as far as the adapter may look. */
  markPhoto(uri: string, isThere: boolean): void {
    this.#photos.set(uri, isThere);
  }

  /** Of photographs that were named somewhere, those that no plan names any more. */
  #forgetPhotos(before: readonly Photo[]): void {
    if (before.length === 0) return;
    const named = new Set([...this.#documents.values()].flatMap(photosIn).map((photo) => photo.uri));
    for (const { uri } of before) if (!named.has(uri)) this.#photos.delete(uri);
  }

  #photosOf(uri: string): readonly Photo[] {
    const document = this.#documents.get(uri);
    return document ? photosIn(document) : [];
  }

  /** The files whose findings may change when `uri` changes, itself first. */
  dependents(uri: string): string[] {
    const found = new Set([uri]);
    for (const target of found) {
      for (const document of this.#documents.values()) {
        if (usesOf(document).some((use) => use.uri === target || this.#mayMean(use.uri, target)))
          found.add(document.uri);
      }
    }
    // Our own file kinds are never photographs; skip the search, since they change on every keystroke.
    if (!kindOf(uri)) {
      for (const plan of this.#documents.keys()) {
        if (this.#photosOf(plan).some((photo) => photo.uri === uri)) found.add(plan);
      }
    }
    return [...found];
  }

  /**
   * What the findings of a file rest on beside its own text and the settings: the files it uses, directly and indirectly, and
   * the photographs it names. Undefined while one of them is not found under its own name, or has not been looked for.
   */
  basisOf(uri: string): Basis | undefined {
    const document = this.#documents.get(uri);
    if (!document) return undefined;
    const { used } = this.#reach(document);
    for (const each of [document, ...used]) {
      for (const use of usesOf(each)) if (kindOf(use.uri) && !this.#documents.has(use.uri)) return undefined;
    }
    const photos: [uri: string, isThere: boolean][] = [];
    for (const photo of this.#photosOf(uri)) {
      const isThere = this.#photos.get(photo.uri);
      if (isThere === undefined) return undefined;
      photos.push([photo.uri, isThere]);
    }
    return { used: used.map((each) => each.uri), photos };
  }

  /** A copy for experiments; parsed documents are shared. Valid only until this workspace is edited. */
  fork(): Workspace {
    const copy = new Workspace();
    copy.#shared = new Set(this.#documents.keys());
    for (const [uri, text] of this.#texts) {
      copy.#texts.set(uri, text);
      copy.#noteSpelling(uri);
    }
    for (const [uri, document] of this.#documents) copy.#documents.set(uri, document);
    for (const uri of this.#absent) copy.#absent.add(uri);
    for (const [uri, isThere] of this.#photos) copy.#photos.set(uri, isThere);
    return copy;
  }

  /**
   * Makes this workspace hold the same texts as `other` for `uri` and the files it uses, and nothing else. No
   * document is shared: both can go on being edited, and each reparses only what changed.
   */
  mirror(other: Workspace, uri: string): void {
    const document = other.#documents.get(uri);
    const used = document ? other.#reach(document).used : [];
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
      const isThere = other.#photos.get(photo.uri);
      if (isThere !== undefined) this.#photos.set(photo.uri, isThere);
    }
  }

  /** The photographs that plans name, as far as somebody has looked for them. */
  get photos(): readonly string[] {
    return [...this.#photos.keys()];
  }

  get uris(): readonly string[] {
    return [...this.#texts.keys()];
  }

  text(uri: string): string | undefined {
    return this.#texts.get(uri)?.toString();
  }

  lines(uri: string): LineIndex | undefined {
    return this.#documents.get(uri)?.lines;
  }

  document(uri: string): Document | undefined {
    return this.#documents.get(uri);
  }

  /**
   * The document with everything it uses, read as a plan. Built once for the same texts and settings.
   * @param settings those of the call before when absent: only the checks look at them
   */
  plan(uri: string, settings?: CheckSettings): Plan | undefined {
    const document = this.#documents.get(uri);
    if (!document) return undefined;
    const { used, unresolved, misspelled } = this.#reach(document);
    const lost = this.#photosOf(uri).flatMap((photo) =>
      this.#photos.get(photo.uri) === false ? photo.node : [],
    );
    const from: unknown[] = [document, ...used, ...unresolved.map(({ path, reason }) => `${path} ${reason}`)];
    from.push(...misspelled.map(({ path, called }) => `${path} ${called}`), ...lost);
    const known = this.#plans.get(uri);
    const before = known?.plan.reading;
    const sameSettings = !settings || (before && isSame(before.settings, settings));
    if (known && sameSettings && sameMembers(known.from, from)) return known.plan;
    const now = (sameSettings ? before?.settings : settings) ?? {};
    const memory = before?.memory ?? new QueryCache();
    const plan = new SnapshotPlan(createSnapshot(document, used, unresolved, misspelled, lost, now, memory));
    this.#plans.set(uri, { plan, from });
    return plan;
  }

  /** The files a document uses, directly and indirectly, each once. A cycle of uses is cut. */
  #reach(document: Document): {
    used: Document[];
    unresolved: UnresolvedUse[];
    misspelled: MisspelledUse[];
  } {
    const used = new Set<Document>();
    const unresolved: UnresolvedUse[] = [];
    const misspelled: MisspelledUse[] = [];
    const visit = (from: Document): void => {
      for (const { path, uri, node } of usesOf(from)) {
        const meant = this.meant(uri);
        const target = this.#documents.get(meant);
        if (target && meant !== uri && from === document)
          misspelled.push({ path, called: spelledAs(path, meant), node });
        if (target === document) continue;
        if (!target) {
          const kind = kindOf(uri);
          const reason = kind ? 'absent' : 'unknown-kind';
          if (from === document) unresolved.push({ path, span: node.span, kind, reason });
        } else if (!used.has(target)) {
          used.add(target);
          visit(target);
        }
      }
    };
    visit(document);
    return { used: [...used], unresolved, misspelled };
  }
}

const isSame = (before: CheckSettings, now: CheckSettings): boolean =>
  before === now ||
  (before.today === now.today && JSON.stringify(before.severities) === JSON.stringify(now.severities));

const usesOf = memoByIdentity((document: Document): readonly Use[] => {
  const root = document.root as MapNode<{ uses?: string[] }> | undefined;
  const list: ListNode<string> | undefined = root?.get('uses');
  return (list?.items ?? []).flatMap((node) => {
    if (node.rejectedBySchema || node.kind !== 'scalar' || typeof node.value !== 'string') return [];
    return [{ path: node.value, uri: resolve(document.uri, node.value), node }];
  });
});

/** A photograph that a plan names as evidence. */
interface Photo {
  readonly uri: string;
  readonly node: ScalarNode<string>;
}

function photosIn(document: Document): readonly Photo[] {
  const root = document.root as MapNode<Pick<RepairPlan, 'evidence'>> | undefined;
  const list = document.kind === 'repair-plan' ? root?.get('evidence') : undefined;
  return list ? photosListed(list) : [];
}

const photosListed = memoByIdentity(
  (list: ListNode<NonNullable<RepairPlan['evidence']>[number]>): readonly Photo[] =>
    mapsIn(list).flatMap((entry) => {
      const node = entry.get('photo');
      const uri = node && photoUri(node);
      return uri === undefined ? [] : [{ uri, node: node! }];
    }),
);

/** Where a photograph lies that a plan names; undefined for what is no path, such as a web address. */
export function photoUri({ value, span }: ScalarNode<string>): string | undefined {
  const path = value.trim();
  return path === '' || /^[a-z][a-z0-9+.-]+:/i.test(path) ? undefined : resolve(span.origin.uri, path);
}

/** The address of a file that a file names by a path relative to itself. */
export function resolve(from: string, path: string): string {
  // Replace lone surrogates; they cannot be encoded in a URI.
  const whole = path.replace(/\p{Surrogate}/gu, '\uFFFD').replaceAll('\\', '/');
  return Utils.resolvePath(Utils.dirname(URI.parse(from)), whole).toString();
}
