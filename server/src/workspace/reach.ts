import type { Document } from '../document/document.ts';
import { usesOf } from './named-files.ts';
import type { NamedFile } from './named-files.ts';
import { spelledAs } from './spelling.ts';

/** The files to which the `uses:` of one lead. */
export interface Reach<U extends NamedFile> {
  /** Directly and indirectly, each once. */
  readonly used: readonly Document[];
  /** Own entries that lead to no file. */
  readonly unresolved: readonly { readonly use: U }[];
  /** Own entries that lead to a file under another spelling of its name. */
  readonly misspelled: readonly { readonly use: U; readonly called: string }[];
}

/**
 * A cycle of uses is cut.
 * @param meant the file that an entry means, where none is called as it says
 */
export function reachOf<U extends NamedFile>(
  uri: string,
  uses: readonly U[],
  documentOf: (uri: string) => Document | undefined,
  meant: (uri: string) => string,
): Reach<U> {
  const used = new Set<Document>();
  const unresolved: { readonly use: U }[] = [];
  const misspelled: { readonly use: U; readonly called: string }[] = [];
  const visit = (target: Document | undefined): void => {
    if (!target || target.uri === uri || used.has(target)) return;
    used.add(target);
    for (const use of usesOf(target)) visit(documentOf(meant(use.uri)));
  };
  for (const use of uses) {
    const called = meant(use.uri);
    const target = documentOf(called);
    if (!target && called !== uri) unresolved.push({ use });
    else if (called !== use.uri) misspelled.push({ use, called: spelledAs(use.path, called) });
    visit(target);
  }
  return { used: [...used], unresolved, misspelled };
}
