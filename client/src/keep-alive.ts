import { l10n, window } from 'vscode';
import type { BaseLanguageClient, CloseHandlerResult, ErrorHandler } from 'vscode-languageclient';
import { CloseAction, ErrorAction } from 'vscode-languageclient';

/** How often a server that keeps ending is started again within three minutes. */
const mostRestarts = 4;

/** Starts a server that ended by itself again, with the texts as they stand in the editor, and says so once. */
export function keepAlive(client: () => BaseLanguageClient): ErrorHandler {
  let usual: ErrorHandler | undefined;
  let said = false;
  const handler = (): ErrorHandler => (usual ??= client().createDefaultErrorHandler(mostRestarts));
  return {
    // What cannot be written to a server that has just ended says nothing new: that it ended is heard in a moment.
    error: () => ({ action: ErrorAction.Continue }),
    async closed(): Promise<CloseHandlerResult> {
      const result = await handler().closed();
      if (result.action !== CloseAction.Restart) {
        const message = l10n.t(
          'The language server of Plugward ended five times within three minutes and is not started again. Your text is as you left it. "Plugward: Restart language server" tries once more.',
        );
        return { ...result, message };
      }
      const message = l10n.t(
        'The language server of Plugward ended by itself and was started again. Your text is as you left it.',
      );
      if (!said) void window.showWarningMessage(message);
      said = true;
      return { ...result, message, handled: true };
    },
  };
}
