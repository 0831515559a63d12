import { DidChangeWatchedFilesNotification } from 'vscode-languageserver';
import type { Capability } from './capability.ts';
import { canonicalUri } from './documents.ts';
import { notificationHandler } from './guard.ts';

/** Files that open plans refer to, changed outside the editor. */
export const fileWatchCapability: Capability = {
  announce: () => ({}),
  register(session) {
    const { connection, workspace, files, publisher } = session;
    connection.onDidChangeWatchedFiles(
      notificationHandler(session, 'watched files', ({ changes }) => {
        const affected = new Set<string>();
        for (const { uri } of changes) {
          const key = canonicalUri(uri);
          for (const dependent of workspace.dependents(key)) affected.add(dependent);
          files.forget(key);
        }
        publisher.mark(affected, true);
      }),
    );
  },
  async start({ connection, client }) {
    if (!client.watchesFiles) return;
    // Also the photographs that plans name, including upper-case extensions, as cameras write them, and what leaves files out.
    const watchers = [
      { globPattern: '**/*.{yaml,yml,png,jpg,jpeg,PNG,JPG,JPEG}' },
      { globPattern: '**/.gitignore' },
    ];
    await connection.client.register(DidChangeWatchedFilesNotification.type, { watchers });
  },
};
