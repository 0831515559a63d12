import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';

/** The four kinds of document, distinguished by file suffix and by first key. */
export type Kind = 'repair-plan' | 'shop-procedure' | 'connector-list' | 'rate-sheet';

/** Display name of each kind. */
export const documentWords: Readonly<Record<Kind, Phrase>> = {
  'repair-plan': say`repair plan`,
  'shop-procedure': say`shop procedure`,
  'connector-list': say`connector list`,
  'rate-sheet': say`rate sheet`,
};

const kinds: readonly Kind[] = ['repair-plan', 'shop-procedure', 'connector-list', 'rate-sheet'];

const firstKey: Readonly<Record<Kind, string>> = {
  'repair-plan': 'plan',
  'shop-procedure': 'procedure',
  'connector-list': 'connector-list',
  'rate-sheet': 'rate-sheet',
};

const suffixes: Readonly<Record<Kind, RegExp>> = {
  'repair-plan': /\.repair-plan\.ya?ml$/i,
  'shop-procedure': /\.shop-procedure\.ya?ml$/i,
  'connector-list': /\.connector-list\.ya?ml$/i,
  'rate-sheet': /\.rate-sheet\.ya?ml$/i,
};

/** The kind by the name of a file on disk, which may hold what ends the path of a URI (`#`, `?`). */
export const kindByName = (name: string): Kind | undefined => kindOf(encodeURIComponent(name));

/** The kind, by file suffix; for other names (standard input, untitled files), by the first key of `text`. */
export function kindOf(uri: string, text?: string): Kind | undefined {
  const name = uri.split(/[?#]/)[0]!;
  const bySuffix = kinds.find((kind) => suffixes[kind].test(name));
  if (bySuffix || text === undefined) return bySuffix;
  const key = /^(?!---)([a-z-]+):/m.exec(text)?.[1];
  return kinds.find((kind) => firstKey[kind] === key);
}
