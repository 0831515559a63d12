import type { CancellationToken } from 'vscode-languageserver';
import { LSPErrorCodes, ResponseError } from 'vscode-languageserver';
import type { Session } from './session.ts';

/**
 * Wraps a request handler: lets a cancellation that is already on its way arrive first, and turns an
 * exception into a log entry and the fallback result `otherwise`, so that a failing feature does not affect
 * the others.
 */
export function requestHandler<P, R>(
  session: Session,
  name: string,
  otherwise: (params: P) => R,
  handle: (params: P) => R,
  load: () => Promise<void> = () => session.files.load(),
): (params: P, token: CancellationToken) => Promise<R | ResponseError<never>> {
  return async (params, token) => {
    try {
      await session.host.turn();
      await load();
      if (token.isCancellationRequested)
        return new ResponseError(LSPErrorCodes.RequestCancelled, 'cancelled');
      return handle(params);
    } catch (error) {
      if (error instanceof ResponseError) return error as ResponseError<never>;
      session.report(name, error);
      return otherwise(params);
    }
  };
}

/** Like `requestHandler`, but loads all files of the workspace folders first. */
export const workspaceRequestHandler = <P, R>(
  session: Session,
  name: string,
  otherwise: (params: P) => R,
  handle: (params: P) => R,
): ((params: P, token: CancellationToken) => Promise<R | ResponseError<never>>) =>
  requestHandler(session, name, otherwise, handle, () => session.files.loadAll());

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
