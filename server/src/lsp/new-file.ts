import type { Kind } from '../document/kind.ts';
import { newFile } from '../features/new-file.ts';
import type { Capability } from './capability.ts';
import { canonicalUri } from './documents.ts';
import { sharedRequestHandler } from './guard.ts';

interface Asked {
  readonly kind: Kind;
  readonly name: string;
  readonly folder: string | null;
}

/** `plugward/newFile`: the text of a new plan, procedure, list or sheet, for a client that offers to start one. */
export const newFileCapability: Capability = {
  announce: () => ({}),
  register(session) {
    session.connection.onRequest(
      'plugward/newFile',
      sharedRequestHandler(
        session,
        'new file',
        () => ({ snippet: '' }),
        ({ kind, name, folder }: Asked) => ({
          snippet: newFile(
            session.workspace,
            kind,
            name,
            folder === null ? undefined : canonicalUri(folder),
            session.settings.current,
          ),
        }),
      ),
    );
  },
};
