import { oldVersion } from '../features/comparison.ts';
import type { OldTexts, OldVersion } from '../features/comparison.ts';
import type { Capability } from './capability.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler } from './guard.ts';
import type { Session } from './session.ts';

/** So many plans are compared at the same time; the one that was asked for first is forgotten. */
const maxHeld = 4;

const olds = new WeakMap<Session, Map<string, OldVersion>>();

/** The version that a plan is compared with, if any. */
export const oldOf = (session: Session, key: string): OldVersion | undefined => olds.get(session)?.get(key);

type Answer = { readonly wants: readonly string[] } | { readonly refused: string } | Record<string, never>;

/**
 * `plugward/compareWith`, a request of our own: `{ uri, old }` names the version that a plan is compared with from then on, in
 * its preview and its supplement. `old` holds a name for people, its URI and texts by URI (`null` for what was not there);
 * the answer names files whose texts are needed too (`wants`), says why the version cannot be compared (`refused`), or is
 * empty once it is taken. `old: null` ends the comparison.
 */
export const compareCapability: Capability = {
  announce: () => ({}),
  register(session) {
    const { connection, settings } = session;
    connection.onRequest(
      'plugward/compareWith',
      requestHandler(
        session,
        'compare',
        () => null,
        ({ uri, old }: { readonly uri: string; readonly old: OldTexts | null }): Answer | null => {
          const key = canonicalUri(uri);
          const known = olds.get(session) ?? new Map<string, OldVersion>();
          olds.set(session, known);
          known.delete(key);
          if (!old) return {};
          const texts = Object.fromEntries(
            Object.entries(old.texts).map(([one, text]) => [canonicalUri(one), text]),
          );
          const read = oldVersion({ ...old, uri: canonicalUri(old.uri), texts }, settings.current);
          if (!('old' in read)) return read;
          known.set(key, read.old);
          for (const first of known.keys()) if (known.size > maxHeld) known.delete(first);
          return {};
        },
      ),
    );
  },
};
