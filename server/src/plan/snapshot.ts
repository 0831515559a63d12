import { own } from '../base/collections.ts';
import type { Document } from '../document/document.ts';
import type { Kind } from '../document/kind.ts';
import type { AnyNode, MapNode, ScalarNode } from '../document/node.ts';
import { inputQuery, nextStateNumber, memoByKey, sameMembers } from '../incremental/query.ts';
import type { QueryCache, Query, QueryState } from '../incremental/query.ts';
import type { Span } from '../text/span.ts';

/** A `uses:` entry whose file is missing, unreadable or of unknown kind. */
export interface UnresolvedUse {
  readonly path: string;
  readonly span: Span;
  readonly kind: Kind | undefined;
  readonly reason: 'absent' | 'outside' | 'unknown-kind';
}

/** A `uses:` entry that names its file in other capitals, or with accented letters composed in another way. */
export interface MisspelledUse {
  readonly path: string;
  /** The path as the file is called. */
  readonly called: string;
  readonly node: ScalarNode<string>;
}

export type ReportedSeverity = 'error' | 'warning' | 'information';

/** External input of the checks; part of every snapshot, beside the texts. */
export interface CheckSettings {
  /** Today's date, ISO 8601. */
  readonly today?: string | undefined;
  /** Severities by finding id; they override those of the rate sheet. */
  readonly severities?: Readonly<Record<string, ReportedSeverity | 'off'>> | undefined;
}

/** Whether checks with these settings give the same. */
export const sameSettings = (before: CheckSettings, now: CheckSettings): boolean =>
  before === now ||
  (before.today === now.today && JSON.stringify(before.severities) === JSON.stringify(now.severities));

/** An immutable snapshot of a file, all files it uses and the settings; the revision that queries run on. */
export interface Snapshot extends QueryState {
  readonly document: Document;
  /** The files it uses, directly and through others, each once. */
  readonly used: readonly Document[];
  readonly unresolved: readonly UnresolvedUse[];
  readonly misspelled: readonly MisspelledUse[];
  /** Paths of photographs that are not there. */
  readonly missingPhotos: readonly ScalarNode<string>[];
  readonly settings: CheckSettings;
}

/** @param memory the query cache shared by all states of this file */
export const createSnapshot = (
  document: Document,
  used: readonly Document[],
  unresolved: readonly UnresolvedUse[],
  misspelled: readonly MisspelledUse[],
  lostPhotos: readonly ScalarNode<string>[],
  settings: CheckSettings,
  memory: QueryCache,
): Snapshot => ({
  document,
  used,
  unresolved,
  misspelled,
  missingPhotos: lostPhotos,
  settings,
  memory,
  state: nextStateNumber(),
});

export const documentIn = inputQuery(({ document }: Snapshot) => document);
export const usedIn = inputQuery(({ used }: Snapshot) => used, sameMembers);
export const todayIn = inputQuery(({ settings }: Snapshot) => settings.today);
/** The severity of a finding in the settings; undefined if they do not name it. */
export const severityIn = memoByKey((finding: string) =>
  inputQuery(({ settings }: Snapshot) => own(settings.severities ?? {}, finding)),
);
export const missingPhotosIn = inputQuery(({ missingPhotos }: Snapshot) => missingPhotos, sameMembers);
export const misspelledIn = inputQuery(
  ({ misspelled }: Snapshot) => misspelled,
  (before, now) =>
    before.length === now.length &&
    before.every(({ called, node }, i) => called === now[i]!.called && node === now[i]!.node),
);
export const unresolvedIn = inputQuery(
  ({ unresolved }: Snapshot) => unresolved,
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

/** The value of a top-level key of the document; `undefined` if it is absent or rejected. */
export const sectionIn: (key: string) => Query<Snapshot, AnyNode | undefined> = memoByKey((key) =>
  inputQuery(({ document }: Snapshot) => valueIn(document, key)),
);

/** The span of a top-level key. */
export const keySpanIn: (key: string) => Query<Snapshot, Span | undefined> = memoByKey((key) =>
  inputQuery(({ document }: Snapshot) => (document.root as AnyRoot)?.entry(key)?.keySpan),
);

/** The values of a top-level key in the document and in the files of some kinds that it uses, the document's first. */
export const everySection = (key: string, kinds?: readonly Kind[]): Query<Snapshot, readonly AnyNode[]> =>
  inputQuery(
    ({ document, used }: Snapshot) =>
      [document, ...used].flatMap((one) =>
        !kinds || kinds.includes(one.kind) ? (valueIn(one, key) ?? []) : [],
      ),
    sameMembers,
  );

/** The document and the files it uses that are of one kind. */
export const everyOfKind = <K extends Kind>(kind: K): Query<Snapshot, readonly Document<K>[]> =>
  inputQuery(
    ({ document, used }: Snapshot) =>
      [document, ...used].filter((one): one is Document<K> => one.kind === kind),
    sameMembers,
  );
