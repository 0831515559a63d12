import { failedStatus, status } from '../features/status.ts';
import type { Status } from '../features/status.ts';
import type { Capability } from './capability.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler } from './guard.ts';

/**
 * The custom request `plugward/status`: for `{ uri }` returns a summary of the file for a status bar, or
 * `null` for a file of another kind. A failure is reported in the summary.
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
