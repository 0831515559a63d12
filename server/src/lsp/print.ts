import { photosWanted, print } from '../features/print.ts';
import type { Photos, PrintKind } from '../features/print.ts';
import type { Capability } from './capability.ts';
import { oldOf } from './compare.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler } from './guard.ts';
import type { Session } from './session.ts';

interface Asked {
  readonly uri: string;
  readonly kind: PrintKind;
}

/**
 * `plugward/print`, a request of our own: `{ uri, kind }` with a kind of print is answered with `{ html, name }`, a whole page and
 * a name for its file, or `null` for a file that is no plan. A supplement is formed from the version that
 * `plugward/compareWith` named; without one, `null`.
 */
export const printCapability: Capability = {
  announce: () => ({}),
  register(session) {
    const { connection, workspace, settings, files, closed } = session;
    const answer = requestHandler(
      session,
      'print',
      () => null,
      ({ uri, kind, photos }: Asked & { readonly photos: Photos }) =>
        print(
          workspace,
          canonicalUri(uri),
          kind,
          settings.current,
          photos,
          oldOf(session, canonicalUri(uri)),
        ) ?? null,
    );
    connection.onRequest('plugward/print', async ({ uri, kind }: Asked, token) => {
      await files.load();
      const key = canonicalUri(uri);
      return closed.withTree(key, async () => {
        const photos = withPhotos.has(kind) ? await photosOf(session, key) : new Map();
        return answer({ uri, kind, photos }, token);
      });
    });
  },
};

const withPhotos: ReadonlySet<PrintKind> = new Set<PrintKind>(['estimate', 'supplement', 'reasons']);

async function photosOf({ workspace, files }: Session, key: string): Promise<Photos> {
  const photos = new Map<string, Uint8Array | 'large' | undefined>();
  for (const { uri, max } of photosWanted(workspace, key, photos))
    photos.set(uri, await files.photo(uri, max));
  return photos;
}
