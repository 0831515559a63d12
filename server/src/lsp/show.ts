import { ShowDocumentRequest } from 'vscode-languageserver';
import type { Capability } from './capability.ts';
import { toLocations } from './at.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler } from './guard.ts';

interface Asked {
  readonly uri: string;
  readonly offset: number;
}

/**
 * `plugward/show`, a request of our own, for whoever shows a preview: `{ uri, offset }` with a part's `data-from` has the client
 * lead to that place by `window/showDocument`. The answer `{ shown }` is false where there is no such place, or the client has no such
 * request.
 */
export const showCapability: Capability = {
  announce: () => ({}),
  register(session) {
    const { connection, client } = session;
    const place = requestHandler(
      session,
      'show',
      () => undefined,
      ({ uri, offset }: Asked) =>
        toLocations(session, [{ uri: canonicalUri(uri), start: offset, end: offset }])[0],
    );
    connection.onRequest('plugward/show', async (asked: Asked, token) => {
      const at = client.showsDocuments ? await place(asked, token) : undefined;
      if (!at || !('range' in at)) return at instanceof Error ? at : { shown: false };
      const shown = await connection.sendRequest(ShowDocumentRequest.type, {
        uri: at.uri,
        takeFocus: true,
        selection: at.range,
      });
      return { shown: shown.success };
    });
  },
};
