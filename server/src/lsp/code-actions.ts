import type { CodeAction, CodeActionParams } from 'vscode-languageserver';
import { CodeActionKind, CodeActionTriggerKind, LSPErrorCodes, ResponseError } from 'vscode-languageserver';
import { acceptancesAt } from '../features/accept.ts';
import { check } from '../features/check.ts';
import { fixAll, fixAllTitle, fixesAt, fixQuestion } from '../features/fixes.ts';
import { plainText } from '../features/snippets.ts';
import type { OfferedFix } from '../features/trial.ts';
import type { Capability } from './capability.ts';
import { toDiagnostic, toSnippetEdit, toWorkspaceEdit } from './convert.ts';
import type { Question } from './convert.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler } from './guard.ts';
import type { Session } from './session.ts';

const fixAllKind = `${CodeActionKind.SourceFixAll}.plugward`;

/** What a client sends back to have the edits of a many-at-once fix worked out. */
interface FixAllData {
  readonly key: string;
  readonly version: number;
  readonly unsafe: boolean;
  readonly finding?: string;
}

export const codeActionCapability: Capability = {
  announce: (client) => ({
    codeActionProvider: {
      codeActionKinds: [CodeActionKind.QuickFix, fixAllKind],
      resolveProvider: client.resolvesCodeActionEdits,
    },
  }),
  register(session) {
    session.connection.onCodeAction(
      requestHandler(
        session,
        'fixes',
        (): CodeAction[] => [],
        (params: CodeActionParams) => codeActions(session, params),
      ),
    );
    session.connection.onCodeActionResolve(
      requestHandler(
        session,
        'fix',
        (action: CodeAction): CodeAction => action,
        // Some editors have every action resolved, also one that has its edit.
        (action) =>
          action.data === undefined
            ? action
            : { ...action, edit: bulkEdit(session, action.data as FixAllData) },
      ),
    );
  },
};

function codeActions(session: Session, { textDocument, range, context }: CodeActionParams): CodeAction[] {
  const { workspace, documents, settings, client } = session;
  const key = canonicalUri(textDocument.uri);
  const document = documents.get(key);
  if (!document) return [];
  const wants = (kind: string) =>
    !context.only || context.only.some((only) => kind === only || kind.startsWith(`${only}.`));
  // Without `codeAction/resolve`, the edits would be computed on every cursor move.
  const offersBulk =
    client.resolvesCodeActionEdits || context.triggerKind !== CodeActionTriggerKind.Automatic;
  const bulk = (kind: string, rest: Omit<FixAllData, 'key' | 'version'>): CodeAction[] => {
    const data: FixAllData = { key, version: document.version, ...rest };
    const title = fixAllTitle(workspace, key, rest, settings.current);
    if (client.resolvesCodeActionEdits) return [{ title, kind, data }];
    return offersBulk ? [{ title, kind, edit: bulkEdit(session, data) }] : [];
  };

  const actions: CodeAction[] = [];
  if (wants(CodeActionKind.QuickFix)) {
    const fixes = fixesAt(
      workspace,
      key,
      document.offsetAt(range.start),
      document.offsetAt(range.end),
      settings.current,
    );
    actions.push(...quickFixes(session, fixes));
    actions.push(...acceptances(session, key, document.offsetAt(range.start), document.offsetAt(range.end)));
    const findings = fixes.length
      ? check(workspace, key, settings.current).map(({ finding }) => finding)
      : [];
    for (const finding of new Set(fixes.map((fix) => fix.finding))) {
      if (findings.filter((each) => each === finding).length < 2) continue;
      actions.push(...bulk(CodeActionKind.QuickFix, { unsafe: true, finding }));
    }
    if (fixes.length) actions.push(...bulk(CodeActionKind.QuickFix, { unsafe: true }));
  }
  if (wants(fixAllKind)) {
    actions.push(...bulk(fixAllKind, { unsafe: false }));
  }
  return actions;
}

function quickFixes(session: Session, fixes: readonly OfferedFix[]): CodeAction[] {
  const seen = new Set<unknown>();
  return fixes.map((fix): CodeAction => {
    const first = !seen.has(fix.diagnosis);
    seen.add(fix.diagnosis);
    return {
      title: fix.title,
      kind: CodeActionKind.QuickFix,
      diagnostics: [toDiagnostic(session, fix.diagnosis)],
      edit: toWorkspaceEdit(session, fix.edits, fix.safe ? undefined : questionOf(session, fix.title)),
      // The editor applies a preferred fix without showing it by name; that is for safe ones only.
      ...(first && fix.safe ? { isPreferred: true } : {}),
    };
  });
}

/** To be filled in by whoever answers for it: until then it holds for nothing. */
function acceptances(session: Session, key: string, start: number, end: number): CodeAction[] {
  const { workspace, settings, client } = session;
  return acceptancesAt(workspace, key, start, end, settings.current).map(({ title, diagnosis, edit }) => ({
    title,
    kind: CodeActionKind.QuickFix,
    diagnostics: [toDiagnostic(session, diagnosis)],
    edit: client.snippetEdits
      ? toSnippetEdit(session, edit)
      : toWorkspaceEdit(session, [{ ...edit, text: plainText(edit.text, '') }]),
  }));
}

const questionOf = ({ settings }: Session, label: string): Question => ({
  label,
  description: fixQuestion(settings.current),
});

function bulkEdit(session: Session, { key, version, unsafe, finding }: FixAllData) {
  if (session.documents.get(key)?.version !== version) {
    throw new ResponseError(LSPErrorCodes.ContentModified, 'the text has changed meanwhile');
  }
  const { workspace, settings } = session;
  const options = finding === undefined ? { unsafe } : { unsafe, finding };
  const { edits } = fixAll(workspace, key, options, settings.current);
  const title = fixAllTitle(workspace, key, options, settings.current);
  return toWorkspaceEdit(session, edits, unsafe ? questionOf(session, title) : undefined);
}
