import { TextDocumentSyncKind } from 'vscode-languageserver';
import type { Capability } from './capability.ts';
import { notificationHandler } from './guard.ts';

/** The editor's text of open files is the workspace's text. */
export const synchronisationCapability: Capability = {
  announce: () => ({
    textDocumentSync: { openClose: true, change: TextDocumentSyncKind.Incremental, save: true },
  }),
  register(session) {
    const { connection, documents, workspace, publisher, files, closed, client, foreground } = session;
    documents.listen(connection, {
      changed: notificationHandler(session, 'text', (key: string) => {
        foreground.expect();
        files.changed(key);
        const dependents = [...workspace.dependents(key)];
        publisher.mark(dependents);
        // What is shown of other files changes with it, and the client knows of no edit there.
        if (dependents.some((one) => one !== key && documents.get(one))) publisher.refresh();
      }),
      closed: notificationHandler(session, 'close', (key: string, uri: string) => {
        const dependents = workspace.dependents(key);
        files.forget(key);
        publisher.clear(key, uri);
        publisher.mark(dependents);
      }),
      saved: notificationHandler(session, 'save', () => {
        // A client that reports no changes on disk: look again at the one moment that is announced.
        if (client.watchesFiles) return;
        files.lookAgain();
        closed.lookAgain();
        publisher.markAll();
      }),
    });
  },
};
