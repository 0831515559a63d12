import { LSPErrorCodes, ResponseError } from 'vscode-languageserver';
import type { Range, WorkspaceEdit } from 'vscode-languageserver';
import { notRenamed } from '../features/status.ts';
import { kindOf } from '../document/kind.ts';
import { localize } from '../features/in-words.ts';
import { prepareRename, rename } from '../features/rename.ts';
import { requestOffset } from './at.ts';
import type { Capability } from './capability.ts';
import { toRange, toWorkspaceEdit } from './convert.ts';
import { canonicalUri } from './documents.ts';
import { workspaceRequestHandler } from './guard.ts';

/** Changes a name everywhere, or says why that cannot be done. */
export const renameCapability: Capability = {
  announce: (client) => ({ renameProvider: client.preparesRename ? { prepareProvider: true } : true }),
  register(session) {
    const { connection, workspace, settings, closed } = session;
    connection.onPrepareRename(
      workspaceRequestHandler(
        session,
        'rename',
        (): { range: Range; placeholder: string } | null => null,
        (params) => {
          const place = requestOffset(session, params);
          const found = place && prepareRename(workspace, place.key, place.offset);
          if (!found) return null;
          if ('refused' in found)
            throw new ResponseError(LSPErrorCodes.RequestFailed, localize(found.refused, settings.current));
          const range = toRange(session, found.range);
          return range ? { range, placeholder: found.id } : null;
        },
      ),
    );
    connection.onRenameRequest(
      workspaceRequestHandler(
        session,
        'rename',
        (): WorkspaceEdit | null => null,
        async (params) => {
          const result = await closed.confirmed(
            canonicalUri(params.textDocument.uri),
            () => {
              const place = requestOffset(session, params);
              return place && rename(workspace, place.key, place.offset, params.newName);
            },
            (found) => (found && 'edits' in found ? found.edits.map(({ uri }) => uri) : []),
          );
          if (!result) return null;
          if ('refused' in result)
            throw new ResponseError(LSPErrorCodes.RequestFailed, localize(result.refused, settings.current));
          // A name of a shared file may stand in any plan. Changed in some of them only, it would break the others.
          const shared = result.edits.some(({ uri }) => kindOf(uri) !== 'repair-plan');
          if (closed.unread > 0 && shared)
            throw new ResponseError(LSPErrorCodes.RequestFailed, notRenamed(closed.unread, settings.current));
          return toWorkspaceEdit(session, result.edits);
        },
      ),
    );
  },
};
