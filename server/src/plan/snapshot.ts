import type { Document } from '../document/document.ts';
import type { Kind } from '../document/kind.ts';
import type { AnyNode, MapNode, ScalarNode } from '../document/node.ts';
import { input, nextState, queries, sameMembers } from '../incremental/query.ts';
import type { Memory, Query, Remembering } from '../incremental/query.ts';
import type { Span } from '../text/span.ts';

/** A file named under `uses:` that is not there, may not be read, or closes a circle. */
export interface Unresolved {
  readonly path: string;
  readonly span: Span;
  readonly kind: Kind | undefined;
  readonly reason: 'absent' | 'outside' | 'unknown-kind';
}

/** One state of a file and of all the files it uses: what a plan is read from. */
export interface Reading extends Remembering {
  readonly document: Document;
  /** The files it uses, directly and through others, each once. */
  readonly used: readonly Document[];
  readonly unresolved: readonly Unresolved[];
  /** Paths of photographs that are not there. */
  readonly lostPhotos: readonly ScalarNode<string>[];
}

/** @param memory what was found out about earlier states of the same file */
export const readingOf = (
  document: Document,
  used: readonly Document[],
  unresolved: readonly Unresolved[],
  lostPhotos: readonly ScalarNode<string>[],
  memory: Memory,
): Reading => ({ document, used, unresolved, lostPhotos, memory, state: nextState() });

export const documentIn = input(({ document }: Reading) => document);
export const usedIn = input(({ used }: Reading) => used, sameMembers);
export const lostPhotosIn = input(({ lostPhotos }: Reading) => lostPhotos, sameMembers);
export const unresolvedIn = input(
  ({ unresolved }: Reading) => unresolved,
  (before, now) =>
    before.length === now.length &&
    before.every(({ path, reason, span }, i) => {
      const other = now[i]!;
      return path === other.path && reason === other.reason && span === other.span;
    }),
);

type AnyRoot = MapNode<Record<string, unknown>> | undefined;
const valueIn = ({ root }: Document, key: string): AnyNode | undefined =>
  (root as AnyRoot)?.get(key) as AnyNode | undefined;

/** The value of a top-level key of the document; undefined when it is absent or was refused. */
export const sectionIn: (key: string) => Query<Reading, AnyNode | undefined> = queries((key) =>
  input(({ document }: Reading) => valueIn(document, key)),
);

/** Where a top-level key stands. */
export const keySpanIn: (key: string) => Query<Reading, Span | undefined> = queries((key) =>
  input(({ document }: Reading) => (document.root as AnyRoot)?.entry(key)?.keySpan),
);

/** The values of a top-level key in the document and in the files of some kinds that it uses, the document's first. */
export const everySection = (key: string, kinds?: readonly Kind[]): Query<Reading, readonly AnyNode[]> =>
  input(
    ({ document, used }: Reading) =>
      [document, ...used].flatMap((one) =>
        !kinds || kinds.includes(one.kind) ? (valueIn(one, key) ?? []) : [],
      ),
    sameMembers,
  );

/** The document and the files it uses that are of one kind. */
export const everyOfKind = <K extends Kind>(kind: K): Query<Reading, readonly Document<K>[]> =>
  input(
    ({ document, used }: Reading) =>
      [document, ...used].filter((one): one is Document<K> => one.kind === kind),
    sameMembers,
  );
