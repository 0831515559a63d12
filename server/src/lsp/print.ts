import { photosWanted, print } from '../features/print.ts';
import type { Photos, PrintKind } from '../features/print.ts';
import type { Capability } from './capability.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler } from './guard.ts';
import type { Session } from './session.ts';

interface Asked {
  readonly uri: string;
  readonly kind: PrintKind;
}

/**
 * `plugward/print`, a request of our own: `{ uri, kind }` with the kind `job-card`, `estimate` or `review` is answered with
 * `{ html, name }`, a whole page and a name for its file, or `null` for a file that is no plan.
 */
export const printCapability: Capability = {
  announce: () => ({}),
  register(session) {
    const { connection, workspace, settings, files } = session;
    const answer = requestHandler(
      session,
      'print',
      () => null,
      ({ uri, kind, photos }: Asked & { readonly photos: Photos }) =>
        print(workspace, canonicalUri(uri), kind, settings.current, photos) ?? null,
    );
    connection.onRequest('plugward/print', async ({ uri, kind }: Asked, token) => {
      await files.load();
      const photos = kind === 'estimate' ? await photosOf(session, canonicalUri(uri)) : new Map();
      return answer({ uri, kind, photos }, token);
    });
  },
};

async function photosOf({ workspace, files }: Session, key: string): Promise<Photos> {
  const photos = new Map<string, Uint8Array | 'large' | undefined>();
  for (const { uri, most } of photosWanted(workspace, key, photos))
    photos.set(uri, await files.photo(uri, most));
  return photos;
}
