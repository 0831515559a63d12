import type { Capability } from './capability.ts';
import { notificationHandler } from './guard.ts';

/** Workspace folders that come and go: with them changes which files may be read. */
export const foldersCapability: Capability = {
  announce: ({ workspaceFolders }) =>
    workspaceFolders
      ? { workspace: { workspaceFolders: { supported: true, changeNotifications: true } } }
      : {},
  register: () => undefined,
  async start(session) {
    const { connection, client, files, publisher } = session;
    if (!client.workspaceFolders) return;
    connection.workspace.onDidChangeWorkspaceFolders(
      notificationHandler(session, 'folders', ({ added, removed }) => {
        files.changeFolders(
          added.map(({ uri }) => uri),
          removed.map(({ uri }) => uri),
        );
        publisher.markAll();
      }),
    );
  },
};
