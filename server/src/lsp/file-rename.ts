import { MessageType, ShowMessageNotification } from 'vscode-languageserver';
import type { WorkspaceEdit } from 'vscode-languageserver';
import { followMoves } from '../features/file-rename.ts';
import { pathsNotFollowed } from '../features/status.ts';
import type { Capability } from './capability.ts';
import { toWorkspaceEdit } from './convert.ts';
import { canonicalUri } from './documents.ts';
import { workspaceRequestHandler } from './guard.ts';

/** Files, and the folders in which they lie. */
const filters = [
  { pattern: { glob: '**/*.{yaml,yml,png,jpg,jpeg,PNG,JPG,JPEG}', matches: 'file' as const } },
  { pattern: { glob: '**/*', matches: 'folder' as const } },
];

/** A file that is renamed or moved: the paths that lead to it follow, and so do its own. */
export const fileRenameCapability: Capability = {
  announce: ({ tellsRenames }) =>
    tellsRenames ? { workspace: { fileOperations: { willRename: { filters } } } } : {},
  register(session) {
    const { connection, workspace, closed, settings } = session;
    if (!session.client.tellsRenames) return;
    connection.workspace.onWillRenameFiles(
      workspaceRequestHandler(
        session,
        'file rename',
        (): WorkspaceEdit | null => null,
        async (params) => {
          const moves = params.files.map(({ oldUri, newUri }) => ({
            from: canonicalUri(oldUri),
            to: canonicalUri(newUri),
          }));
          if (closed.unread > 0) {
            const message = pathsNotFollowed(closed.unread, settings.current);
            void connection.sendNotification(ShowMessageNotification.type, {
              type: MessageType.Warning,
              message,
            });
          }
          const edits = await closed.confirmed(
            undefined,
            () => followMoves(workspace, moves),
            (found) => found.map(({ uri }) => uri),
          );
          return edits.length === 0 ? null : toWorkspaceEdit(session, edits);
        },
      ),
    );
  },
};
