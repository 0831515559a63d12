import { preview } from '../features/preview.ts';
import type { Capability } from './capability.ts';
import { oldOf } from './compare.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler } from './guard.ts';

/**
 * `plugward/preview`, a request of our own: `{ uri }` is answered with `{ html }`, a fragment for a panel beside the
 * text, or `null` for a file that has no preview.
 */
export const previewCapability: Capability = {
  announce: () => ({}),
  register(session) {
    const { connection, workspace, settings } = session;
    connection.onRequest(
      'plugward/preview',
      requestHandler(
        session,
        'preview',
        () => null,
        ({ uri }: { uri: string }): { html: string } | null => {
          const key = canonicalUri(uri);
          const html = preview(workspace, key, settings.current, oldOf(session, key));
          return html === undefined ? null : { html };
        },
      ),
    );
  },
};
