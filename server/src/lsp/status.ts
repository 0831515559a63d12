import { failedStatus, status } from '../features/status.ts';
import type { Status } from '../features/status.ts';
import type { Capability } from './capability.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler } from './guard.ts';

/**
 * `plugward/status`, a request of our own: `{ uri }` is answered with what the file comes to, for a status bar, or
 * `null` for a file that is none of ours; when it fails, it says so.
 */
export const statusCapability: Capability = {
  announce: () => ({}),
  register(session) {
    const { connection, workspace, settings, files } = session;
    const statusOf = (key: string): Status | null =>
      files.failed.has(key)
        ? failedStatus(settings.current)
        : (status(workspace, key, settings.current) ?? null);
    connection.onRequest(
      'plugward/status',
      requestHandler(
        session,
        'status',
        (): Status | null => failedStatus(settings.current),
        ({ uri }: { uri: string }): Status | null => statusOf(canonicalUri(uri)),
      ),
    );
  },
};
