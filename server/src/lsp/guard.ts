import type { CancellationToken } from 'vscode-languageserver';
import { LSPErrorCodes, ResponseError } from 'vscode-languageserver';
import { canonicalUri } from './documents.ts';
import type { Session } from './session.ts';

/**
 * Wraps a request handler: lets a cancellation that is already on its way arrive first, and turns an
 * exception into a log entry and the fallback result `otherwise`, so that a failing feature does not affect
 * the others. The tree of the file that is asked about is there meanwhile.
 */
export function requestHandler<P, R>(
  session: Session,
  name: string,
  otherwise: (params: P) => R,
  handle: (params: P) => R | Promise<R>,
  loadMore?: (params: P) => Promise<unknown>,
): (params: P, token: CancellationToken) => Promise<R | ResponseError<never>> {
  const { foreground, host, files, closed } = session;
  return async (params, token) => {
    try {
      await foreground.run(async () => {
        await host.turn();
        await files.load();
      });
      await loadMore?.(params);
      if (token.isCancellationRequested)
        return new ResponseError(LSPErrorCodes.RequestCancelled, 'cancelled');
      return await closed.withTree(fileOf(params), () => handle(params));
    } catch (error) {
      if (error instanceof ResponseError) return error as ResponseError<never>;
      session.report(name, error);
      return otherwise(params);
    }
  };
}

/** The file that a request is about. */
function fileOf(params: unknown): string | undefined {
  const { textDocument, uri } = (params ?? {}) as { textDocument?: { uri?: unknown }; uri?: unknown };
  const asked = textDocument?.uri ?? uri;
  return typeof asked === 'string' ? canonicalUri(asked) : undefined;
}

/** Like `requestHandler`, but loads all files of the workspace folders first. */
export const workspaceRequestHandler = <P, R>(
  session: Session,
  name: string,
  otherwise: (params: P) => R,
  handle: (params: P) => R | Promise<R>,
): ((params: P, token: CancellationToken) => Promise<R | ResponseError<never>>) =>
  requestHandler(session, name, otherwise, handle, () => session.closed.loadAll());

/** Like `requestHandler`, but loads the procedures, lists and sheets of the workspace folders first. */
export const sharedRequestHandler = <P, R>(
  session: Session,
  name: string,
  otherwise: (params: P) => R,
  handle: (params: P) => R | Promise<R>,
): ((params: P, token: CancellationToken) => Promise<R | ResponseError<never>>) =>
  requestHandler(session, name, otherwise, handle, () => session.files.loadShared());

/** Wraps a notification handler: exceptions are logged. */
export function notificationHandler<A extends unknown[]>(
  session: Session,
  name: string,
  handle: (...args: A) => void | Promise<void>,
): (...args: A) => void {
  return (...args) => {
    new Promise<void>((resolve) => resolve(handle(...args))).catch((error: unknown) =>
      session.report(name, error),
    );
  };
}
