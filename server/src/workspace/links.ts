import { sameMembers } from '../incremental/query.ts';

/** Which file leads to which: by `uses:`, and to photographs. */
export class Links {
  readonly #of = new Map<string, LinksOfFile>();
  readonly #users = new Map<string, Set<string>>();
  readonly #naming = new Map<string, Set<string>>();

  /** Replaces what is known of a file's links. */
  set(uri: string, uses: readonly string[], photos: readonly string[]): void {
    const before = this.#of.get(uri);
    if (before && sameMembers(before.uses, uses) && sameMembers(before.photos, photos)) return;
    this.remove(uri);
    if (uses.length === 0 && photos.length === 0) return;
    this.#of.set(uri, { uses, photos });
    for (const used of uses) add(this.#users, used, uri);
    for (const photo of photos) add(this.#naming, photo, uri);
  }

  remove(uri: string): void {
    const { uses, photos } = this.#of.get(uri) ?? { uses: [], photos: [] };
    this.#of.delete(uri);
    for (const used of uses) drop(this.#users, used, uri);
    for (const photo of photos) drop(this.#naming, photo, uri);
  }

  /** The files that some file names under `uses:`. */
  get used(): Iterable<string> {
    return this.#users.keys();
  }

  /** The files that name this one under `uses:`. */
  users(uri: string): Iterable<string> {
    return this.#users.get(uri) ?? [];
  }

  /** The plans that name a photograph. */
  naming(photo: string): Iterable<string> {
    return this.#naming.get(photo) ?? [];
  }

  isNamed(photo: string): boolean {
    return this.#naming.has(photo);
  }
}

interface LinksOfFile {
  readonly uses: readonly string[];
  readonly photos: readonly string[];
}

function add(index: Map<string, Set<string>>, key: string, uri: string): void {
  const known = index.get(key);
  if (known) known.add(uri);
  else index.set(key, new Set([uri]));
}

function drop(index: Map<string, Set<string>>, key: string, uri: string): void {
  const known = index.get(key);
  known?.delete(uri);
  if (known?.size === 0) index.delete(key);
}
