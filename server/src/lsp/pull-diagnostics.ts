import type {
  CancellationToken,
  DocumentDiagnosticReport,
  ResultProgressReporter,
  WorkDoneProgressServerReporter,
  WorkspaceDiagnosticReport,
  WorkspaceDiagnosticReportPartialResult,
  WorkspaceDocumentDiagnosticReport,
} from 'vscode-languageserver';
import { DocumentDiagnosticReportKind, LSPErrorCodes, ResponseError } from 'vscode-languageserver';
import { find } from '../features/check.ts';
import type { FoundFinding } from '../features/check.ts';
import type { Capability } from './capability.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler } from './guard.ts';
import type { Session } from './session.ts';

/**
 * Pull diagnostics, including those of files that are not open. If nothing has changed since the last
 * response, only its result id is sent; the workspace request then waits for a change.
 */
export const pullDiagnosticsCapability: Capability = {
  announce: (client) =>
    client.pullsDiagnostics
      ? {
          diagnosticProvider: {
            identifier: 'plugward',
            interFileDependencies: true,
            workspaceDiagnostics: true,
          },
        }
      : {},
  register(session) {
    if (!session.client.pullsDiagnostics) return;
    const { languages } = session.connection;
    const ids = new ResultIds(session);
    const pace: StopState = { stopped: false };
    languages.diagnostics.on(
      requestHandler(
        session,
        'findings',
        (): DocumentDiagnosticReport => ({
          kind: DocumentDiagnosticReportKind.Full,
          items: [session.publisher.failure()],
        }),
        ({ textDocument, previousResultId }) =>
          reportOf(session, ids, canonicalUri(textDocument.uri), previousResultId),
      ),
    );
    languages.diagnostics.onWorkspace(async ({ previousResultIds }, token, _, partial) => {
      const previous = new Map(
        previousResultIds.map(({ uri, value }) => [canonicalUri(uri), { uri, value }]),
      );
      try {
        return await whenChanged(session, ids, { previous, token, send: partial, pace });
      } catch (error) {
        if (error instanceof ResponseError) throw error;
        session.report('findings of the workspace', error);
        return { items: [] };
      }
    });
  },
};

/** Result ids: equal if and only if the findings are the same list. */
class ResultIds {
  readonly #ids = new WeakMap<readonly FoundFinding[], string>();
  #last = 0;

  constructor(readonly session: Session) {}

  of(key: string): string {
    const { workspace, settings, files } = this.session;
    if (files.failed.has(key)) return 'failed';
    if (!workspace.document(key)) return 'none';
    const found = find(workspace, key, settings.current);
    let id = this.#ids.get(found);
    if (id === undefined) this.#ids.set(found, (id = String(++this.#last)));
    return id;
  }
}

async function reportOf(
  session: Session,
  ids: ResultIds,
  key: string,
  previous: string | undefined,
): Promise<DocumentDiagnosticReport> {
  const resultId = (await session.closed.resultId(key)) ?? ids.of(key);
  if (resultId === previous) return { kind: DocumentDiagnosticReportKind.Unchanged, resultId };
  const told = await session.closed.told(key);
  // In this turn, so that the findings are those of the id.
  return told
    ? { kind: DocumentDiagnosticReportKind.Full, resultId: told.resultId, items: told.diagnostics }
    : {
        kind: DocumentDiagnosticReportKind.Full,
        resultId: ids.of(key),
        items: session.publisher.diagnosticsOf(key),
      };
}

type Previous = ReadonlyMap<string, { readonly uri: string; readonly value: string }>;
type Reports = WorkspaceDocumentDiagnosticReport[];

/** State shared across requests: after the user stops a check, the next request waits for a change. */
interface StopState {
  stopped: boolean;
}

interface Asked {
  readonly pace: StopState;
  readonly previous: Previous;
  readonly token: CancellationToken;
  /** Receives partial results, if the client asked for them. */
  readonly send: ResultProgressReporter<WorkspaceDiagnosticReportPartialResult> | undefined;
}

/** Reports per partial result. */
const portion = 20;
/** Show progress if at least this many files have not been reported yet. */
const progressThreshold = 20;

/** How often a file that changes all the time is tried again in one answer; then the next answer has it. */
const extraTurns = 20;

async function whenChanged(
  session: Session,
  ids: ResultIds,
  asked: Asked,
): Promise<WorkspaceDiagnosticReport> {
  const { token, pace } = asked;
  if (pace.stopped) {
    await Promise.race([session.publisher.nextChange(), cancelled(token)]);
    pace.stopped = false;
  }
  for (;;) {
    // Subscribe before loading, so that changes during the load are not missed.
    const change = session.publisher.nextChange();
    await session.host.turn();
    await session.files.loadShared();
    const found = token.isCancellationRequested ? undefined : await checkAllFiles(session, ids, asked);
    if (!found || token.isCancellationRequested)
      throw new ResponseError(LSPErrorCodes.RequestCancelled, 'cancelled');
    if (found.sent || found.items.some(isFull)) return { items: found.items };
    await Promise.race([change, cancelled(token)]);
  }
}

const isFull = ({ kind }: WorkspaceDocumentDiagnosticReport): boolean =>
  kind === DocumentDiagnosticReportKind.Full;

const cancelled = (token: CancellationToken): Promise<void> =>
  new Promise((resolve) => token.onCancellationRequested(() => resolve()));

/**
 * Reports of all files, those that were sent already left out. Whoever stops it by the button of the progress gets
 * what was found until then; the rest follows with the next change.
 */
async function checkAllFiles(
  session: Session,
  ids: ResultIds,
  { previous, token, send, pace }: Asked,
): Promise<{ items: Reports; sent: boolean }> {
  const { workspace, documents, files, closed, host } = session;
  const { shared, plans } = await files.loadShared();
  const isThere = (key: string): boolean =>
    workspace.document(key) !== undefined || workspace.summary(key) !== undefined || files.failed.has(key);
  // What is open and what others use comes first.
  const here = workspace.uris.filter((key) => !workspace.summary(key) && isThere(key));
  const whole = new Set([...here, ...shared]);
  const all = new Set([...whole, ...plans]);
  const progress = await progressOf(session, [...all].filter((key) => !previous.has(key)).length);
  const seen = new Set<string>();
  let items: Reports = [];
  let sent = false;
  let percent = 0;
  /** @returns whether the check goes on */
  const report = async (key: string): Promise<boolean> => {
    // A file may have changed on disk meanwhile: until it is read again, those that use it would miss it.
    await files.loadShared();
    const uri = documents.clientUri(key);
    const version = documents.get(key)?.version ?? null;
    const known = previous.get(key)?.value;
    const isNew = !isThere(key);
    const found = isNew && whole.has(key) ? undefined : await reportOf(session, ids, key, known);
    if (!isThere(key)) return true;
    seen.add(key);
    if (found) items.push({ ...found, uri, version });
    if (send && items.length >= portion && items.some(isFull)) {
      send.report({ items });
      items = [];
      sent = true;
    }
    const now = Math.round((100 * seen.size) / all.size);
    if (now > percent) progress?.report((percent = now), `${seen.size} of ${all.size} files`);
    // Yield to the event loop, so that keystrokes are handled between files. A closed plan that is read does so itself.
    if (whole.has(key) || seen.size % portion === 0) await host.turn();
    pace.stopped = progress?.token.isCancellationRequested === true;
    return !token.isCancellationRequested && !pace.stopped;
  };
  try {
    for (const key of whole) if (!(await report(key))) return { items, sent };
    for await (const key of closed.keys()) {
      if (!whole.has(key) && !(await report(key))) return { items, sent };
    }
    // What changed on disk in the moment of its turn has another one.
    for (let turn = 0; turn < extraTurns; turn++) {
      const missed = [...all].filter(
        (key) => !seen.has(key) && (isThere(key) || !(workspace.knows(key) || closed.isUnread(key))),
      );
      for (const key of missed) if (!(await report(key))) return { items, sent };
    }
  } finally {
    progress?.done();
  }
  for (const [key, { uri, value }] of previous) {
    if (seen.has(key) || isThere(key) || value === 'gone') continue;
    // It has changed on disk a moment ago, and is read the next time.
    if (all.has(key) && !workspace.knows(key) && !closed.isUnread(key)) continue;
    items.push({
      kind: DocumentDiagnosticReportKind.Full,
      resultId: 'gone',
      items: [],
      uri,
      version: null,
    });
  }
  return { items, sent };
}

/** The progress of a check of many files, in the client's own way, with a button that stops it. */
async function progressOf(
  { connection }: Session,
  files: number,
): Promise<WorkDoneProgressServerReporter | undefined> {
  if (files < progressThreshold) return undefined;
  // Does nothing for a client that shows no progress.
  const progress = await connection.window.createWorkDoneProgress();
  progress.begin('Plugward: checking the workspace', 0, undefined, true);
  return progress;
}
