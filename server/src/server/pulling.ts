import type {
  CancellationToken,
  DocumentDiagnosticReport,
  WorkspaceDiagnosticReport,
  WorkspaceDocumentDiagnosticReport,
} from 'vscode-languageserver';
import { DocumentDiagnosticReportKind, LSPErrorCodes, ResponseError } from 'vscode-languageserver';
import { textsOf } from '../features/check.ts';
import type { Plan } from '../plan/plan.ts';
import type { Capability } from './capability.ts';
import { keyOf } from './documents.ts';
import { answering } from './guard.ts';
import type { Session } from './session.ts';

/**
 * Findings for a client that asks for them, those of files that nobody opened included. Where nothing has changed
 * since the last answer, only its id is sent; the request about the whole workspace then waits until something does.
 */
export const pullingCapability: Capability = {
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
    languages.diagnostics.on(
      answering(
        session,
        'findings',
        (): DocumentDiagnosticReport => ({ kind: DocumentDiagnosticReportKind.Full, items: [] }),
        ({ textDocument, previousResultId }) =>
          reportOf(session, ids, keyOf(textDocument.uri), previousResultId),
      ),
    );
    languages.diagnostics.onWorkspace(async ({ previousResultIds }, token) => {
      const previous = new Map(previousResultIds.map(({ uri, value }) => [keyOf(uri), { uri, value }]));
      try {
        return await whenChanged(session, ids, previous, token);
      } catch (error) {
        if (error instanceof ResponseError) throw error;
        session.report('findings of the workspace', error);
        return { items: [] };
      }
    });
  },
};

/** Ids that are the same exactly as long as the findings are. */
class ResultIds {
  readonly #ofPlan = new WeakMap<Plan, { settings: string; texts: readonly string[]; id: string }>();
  #last = 0;

  constructor(readonly session: Session) {}

  of(key: string): string {
    const plan = this.session.workspace.plan(key);
    if (!plan) return 'none';
    const settings = JSON.stringify(this.session.settings.current);
    let known = this.#ofPlan.get(plan);
    const texts = textsOf(plan);
    if (known?.settings !== settings || known.texts.some((text, i) => text !== texts[i])) {
      known = { settings, texts, id: String(++this.#last) };
      this.#ofPlan.set(plan, known);
    }
    return known.id;
  }
}

function reportOf(
  session: Session,
  ids: ResultIds,
  key: string,
  previous: string | undefined,
): DocumentDiagnosticReport {
  const resultId = ids.of(key);
  return resultId === previous
    ? { kind: DocumentDiagnosticReportKind.Unchanged, resultId }
    : { kind: DocumentDiagnosticReportKind.Full, resultId, items: session.publisher.diagnosticsOf(key) };
}

type Previous = ReadonlyMap<string, { readonly uri: string; readonly value: string }>;

async function whenChanged(
  session: Session,
  ids: ResultIds,
  previous: Previous,
  token: CancellationToken,
): Promise<WorkspaceDiagnosticReport> {
  for (;;) {
    // Asked for first: what changes while files are read is not missed.
    const change = session.publisher.nextChange();
    await session.host.turn();
    await session.files.loadAll();
    const items = token.isCancellationRequested ? [] : await everything(session, ids, previous, token);
    if (token.isCancellationRequested) throw new ResponseError(LSPErrorCodes.RequestCancelled, 'cancelled');
    if (items.some(({ kind }) => kind === DocumentDiagnosticReportKind.Full)) return { items };
    await Promise.race([change, cancelled(token)]);
  }
}

const cancelled = (token: CancellationToken): Promise<void> =>
  new Promise((resolve) => token.onCancellationRequested(() => resolve()));

async function everything(
  session: Session,
  ids: ResultIds,
  previous: Previous,
  token: CancellationToken,
): Promise<WorkspaceDocumentDiagnosticReport[]> {
  const { workspace, documents, host } = session;
  const reports: WorkspaceDocumentDiagnosticReport[] = [];
  const seen = new Set<string>();
  for (const key of workspace.uris) {
    if (!workspace.document(key)) continue;
    seen.add(key);
    const uri = documents.clientUri(key);
    const version = documents.get(key)?.version ?? null;
    reports.push({ ...reportOf(session, ids, key, previous.get(key)?.value), uri, version });
    // Keystrokes do not wait until a whole folder is checked.
    await host.turn();
    if (token.isCancellationRequested) return [];
  }
  for (const [key, { uri, value }] of previous) {
    if (seen.has(key) || value === 'gone') continue;
    reports.push({
      kind: DocumentDiagnosticReportKind.Full,
      resultId: 'gone',
      items: [],
      uri,
      version: null,
    });
  }
  return reports;
}
