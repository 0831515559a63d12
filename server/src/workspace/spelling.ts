import { URI } from 'vscode-uri';

/** Forms of one name that some disks tell apart and others do not: capitals, and accented letters in one piece or two. */
const folded = (name: string): string => name.normalize('NFC').toLowerCase();

/** Whether two names differ in nothing but capitals and in how accented letters are composed. */
export const sameButSpelling = (a: string, b: string): boolean => folded(a) === folded(b);

/** Equal for files whose names are spelled in other ways, and for no others. */
export const foldedUri = (uri: string): string => folded(URI.parse(uri).path);

/**
 * `path` with the spelling of `real`, its true path, from the last part on for as long as the parts differ in spelling only:
 * links further up keep the name they were reached by.
 */
export function spelledLike(path: string, real: string): string {
  const parts = path.split(/([\\/])/);
  const names = real.split(/[\\/]/);
  for (let at = parts.length - 1; at >= 0; at -= 2) {
    const name = names.pop();
    if (name === undefined || name === '' || !sameButSpelling(parts[at]!, name)) break;
    parts[at] = name;
  }
  return parts.join('');
}

/** A relative path, spelled as the file at `uri` is. Parts before a `..` stay as they are. */
export function spelledAs(path: string, uri: string): string {
  return spelledLike(path, URI.parse(uri).path);
}

/** Files by what all spellings of their names have in common. */
export class Spellings {
  readonly #files = new Map<string, Set<string>>();

  add(uri: string): void {
    const folded = foldedUri(uri);
    const known = this.#files.get(folded);
    if (known) known.add(uri);
    else this.#files.set(folded, new Set([uri]));
  }

  delete(uri: string): void {
    this.#files.get(foldedUri(uri))?.delete(uri);
  }

  /** The file of which this is a spelling; undefined where there is none, or more than one. */
  only(uri: string): string | undefined {
    const [file, another] = this.#files.get(foldedUri(uri)) ?? [];
    return another === undefined ? file : undefined;
  }
}
