import { ErrorCodes, Message, ResponseError } from 'vscode-languageserver';
import type { Connection, MessageStrategy, RequestMessage, ServerCapabilities } from 'vscode-languageserver';
import type { Capability } from './capability.ts';
import { compareCapability } from './compare.ts';
import { codeActionCapability } from './code-actions.ts';
import { codeLensCapability } from './code-lens.ts';
import { completionCapability } from './completion.ts';
import { explainCapability } from './explain.ts';
import { foldersCapability } from './folders.ts';
import { formattingCapability } from './formatting.ts';
import type { Host } from './host.ts';
import { hoverCapability } from './hover.ts';
import { inlayHintsCapability } from './inlay-hints.ts';
import { linksCapability } from './links.ts';
import { navigationCapability } from './navigation.ts';
import { newFileCapability } from './new-file.ts';
import { plansCapability } from './plans.ts';
import { previewCapability } from './preview.ts';
import { printCapability } from './print.ts';
import { pullDiagnosticsCapability } from './pull-diagnostics.ts';
import { rangesCapability } from './ranges.ts';
import { renameCapability } from './rename.ts';
import { semanticTokensCapability } from './semantic-tokens.ts';
import { Session } from './session.ts';
import { settingsCapability } from './settings.ts';
import { showCapability } from './show.ts';
import { statusCapability } from './status.ts';
import { symbolsCapability } from './symbols.ts';
import { synchronisationCapability } from './synchronisation.ts';
import { fileRenameCapability } from './file-rename.ts';
import { fileWatchCapability } from './file-watch.ts';

const capabilities: readonly Capability[] = [
  synchronisationCapability,
  settingsCapability,
  foldersCapability,
  fileWatchCapability,
  hoverCapability,
  codeActionCapability,
  completionCapability,
  navigationCapability,
  renameCapability,
  fileRenameCapability,
  symbolsCapability,
  rangesCapability,
  semanticTokensCapability,
  linksCapability,
  codeLensCapability,
  inlayHintsCapability,
  formattingCapability,
  newFileCapability,
  pullDiagnosticsCapability,
  compareCapability,
  previewCapability,
  showCapability,
  printCapability,
  statusCapability,
  plansCapability,
  explainCapability,
];

/** Work deferred until the `initialize` response has been sent, or the next message arrives. */
export class DeferredWork {
  #work: (() => void) | undefined;
  /** The client has said `shutdown`: no request is answered any more. */
  shutDown = false;

  put(work: () => void): void {
    this.#work = work;
  }

  /** Runs the work once. */
  do(): void {
    const work = this.#work;
    this.#work = undefined;
    work?.();
  }
}

/** A method without a handler, so that a request for it is rejected. */
const refused = 'plugward/afterShutdown';

/** Message strategy that runs `postponed` before each message and rejects every request after `shutdown`. */
export const runBeforeMessages = (postponed: DeferredWork): MessageStrategy => ({
  handleMessage(message, next) {
    postponed.do();
    if (!postponed.shutDown || !Message.isRequest(message)) return next(message);
    const named: RequestMessage = { ...message, method: refused };
    return next(named);
  },
});

/** Answers one client on `connection` until it says `exit`. */
export function serve(connection: Connection, host: Host, version: string, postponed: DeferredWork): void {
  let session: Session | undefined;

  // What no capability answers; before `initialize`, that is everything.
  connection.onRequest((method) =>
    postponed.shutDown
      ? new ResponseError(ErrorCodes.InvalidRequest, 'Plugward has been shut down.')
      : session
        ? new ResponseError(ErrorCodes.MethodNotFound, `Plugward does not answer ${method}.`)
        : new ResponseError(ErrorCodes.ServerNotInitialized, `${method} came before initialize.`),
  );

  connection.onInitialize((params) => {
    if (session) return new ResponseError(ErrorCodes.InvalidRequest, 'Plugward is initialized already.');
    host.prepare?.(params);
    const opened = new Session(connection, host, params);
    session = opened;
    const { cacheFolder, files, settings } = opened;
    if (cacheFolder !== undefined && settings.keepsFindings)
      host.keepCodeIn?.(() => host.cacheIn?.(cacheFolder, files.folders));
    // The checker is loaded while the client takes in the answer.
    postponed.put(() => {
      for (const capability of capabilities) capability.register(opened);
    });
    void afterAnswer(host).then(() => postponed.do());
    const announced = capabilities.map((capability) => capability.announce(opened.client));
    const workspace = Object.assign({}, ...announced.map((each) => each.workspace)) as object;
    return {
      capabilities: { ...(Object.assign({}, ...announced) as ServerCapabilities), workspace },
      serverInfo: { name: 'Plugward', version },
    };
  });

  connection.onShutdown(() => {
    postponed.shutDown = true;
  });

  connection.onInitialized(() => {
    const opened = session;
    if (!opened) return;
    for (const capability of capabilities) {
      capability.start?.(opened).catch((error: unknown) => opened.report('start', error));
    }
  });

  connection.listen();
}

/** Waits until a response has been written, a turn or more after it was produced. */
async function afterAnswer(host: Host): Promise<void> {
  for (let turns = 0; turns < 3; turns++) await host.turn();
}
