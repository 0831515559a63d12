import { status } from '../features/status.ts';
import type { Status } from '../features/status.ts';
import type { Capability } from './capability.ts';
import { keyOf } from './documents.ts';
import { answering } from './guard.ts';

/**
 * `plugward/status`, a request of our own: `{ uri }` is answered with what the file comes to, for a status bar, or
 * `null` for a file that is none of ours.
 */
export const statusCapability: Capability = {
  announce: () => ({}),
  register(session) {
    const { connection, workspace, settings } = session;
    connection.onRequest(
      'plugward/status',
      answering(
        session,
        'status',
        () => null,
        ({ uri }: { uri: string }): Status | null => status(workspace, keyOf(uri), settings.current) ?? null,
      ),
    );
  },
};
