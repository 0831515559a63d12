import { l10n, window } from 'vscode';
import type { BaseLanguageClient, CloseHandlerResult, ErrorHandler } from 'vscode-languageclient';
import { CloseAction, ErrorAction } from 'vscode-languageclient';

/** How often a server that keeps ending is started again within three minutes. */
const maxRestarts = 4;
/** How long to wait for the close event after a failed write. Unit: milliseconds. */
const closeTimeout = 1_500;

/** Restarts a server that ended by itself, with the editor's current texts, and shows one message. */
export function keepAlive(client: () => BaseLanguageClient): ErrorHandler {
  let usual: ErrorHandler | undefined;
  let said = false;
  let unheard: ReturnType<typeof setTimeout> | undefined;
  const handler = (): ErrorHandler => (usual ??= client().createDefaultErrorHandler(maxRestarts));

  async function closed(): Promise<CloseHandlerResult> {
    clearTimeout(unheard);
    unheard = undefined;
    const result = await handler().closed();
    if (result.action !== CloseAction.Restart) {
      const message = l10n.t(
        'The Plugward language server stopped five times in three minutes and will not restart by itself. Your text is unchanged. To try again, run "Plugward: Restart language server".',
      );
      return { ...result, message };
    }
    const message = l10n.t(
      'The Plugward language server stopped unexpectedly and was restarted. Your text is unchanged.',
    );
    if (!said) void window.showWarningMessage(message);
    said = true;
    return { ...result, message, handled: true };
  }

  /** Whether the server, or one that has been started meanwhile, answers a question. */
  async function answers(): Promise<boolean> {
    const late = new Promise<false>((resolve) => setTimeout(() => resolve(false), closeTimeout));
    const asked = client().sendRequest('plugward/findings', {});
    return Promise.race([
      late,
      asked.then(
        () => true,
        () => false,
      ),
    ]);
  }

  /** Sometimes a server killed during a write exits without a close event. */
  async function detectSilentExit(): Promise<void> {
    unheard = undefined;
    if (await answers()) return;
    const { action, message } = await closed();
    if (action !== CloseAction.Restart) {
      if (message !== undefined) void window.showErrorMessage(message);
      return;
    }
    if (client().isRunning())
      await client()
        .stop()
        .catch(() => undefined);
    await client().start();
  }

  return {
    // Ignore write errors to a server that has just exited; its close event usually follows.
    error(_error, _message, count) {
      if (count !== undefined)
        unheard ??= setTimeout(() => void detectSilentExit().catch(() => undefined), closeTimeout);
      return { action: ErrorAction.Continue, handled: true };
    },
    closed,
  };
}
