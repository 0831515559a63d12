import type {
  Diagnostic,
  DiagnosticRelatedInformation,
  Range as ProtocolRange,
  WorkspaceEdit,
} from 'vscode-languageserver';
import { DiagnosticSeverity, TextEdit } from 'vscode-languageserver';
import type { Edit, Range } from '../text/span.ts';
import type { Diagnosis } from '../features/check.ts';
import type { Context } from './context.ts';

/** `undefined` when the workspace does not hold the file any more. */
export function toRange(context: Context, range: Range): ProtocolRange | undefined {
  const lines = context.workspace.lines(range.uri);
  return lines && { start: lines.positionAt(range.start), end: lines.positionAt(range.end) };
}

const severities = {
  error: DiagnosticSeverity.Error,
  warning: DiagnosticSeverity.Warning,
  information: DiagnosticSeverity.Information,
} as const;

const nowhere: ProtocolRange = { start: { line: 0, character: 0 }, end: { line: 0, character: 0 } };

export function toDiagnostic(context: Context, diagnosis: Diagnosis): Diagnostic {
  const href = context.host.pageOf(diagnosis.finding);
  const diagnostic: Diagnostic = {
    range: toRange(context, diagnosis.range) ?? nowhere,
    severity: severities[diagnosis.severity],
    code: diagnosis.finding,
    ...(href === undefined ? {} : { codeDescription: { href } }),
    source: 'plugward',
    message: diagnosis.message,
  };
  if (context.client.relatedInformation) {
    diagnostic.relatedInformation = diagnosis.trace.flatMap(
      ({ message, range }): DiagnosticRelatedInformation[] => {
        const place = toRange(context, range);
        return place
          ? [{ message, location: { uri: context.documents.clientUri(range.uri), range: place } }]
          : [];
      },
    );
  }
  return diagnostic;
}

/**
 * @throws Error when an edit belongs to a file that the workspace does not hold.
 */
export function toWorkspaceEdit(context: Context, edits: readonly Edit[]): WorkspaceEdit {
  const byFile = new Map<string, TextEdit[]>();
  for (const edit of edits) {
    const range = toRange(context, edit);
    if (!range) throw new Error(`an edit in a file that is not loaded: ${edit.uri}`);
    byFile.set(edit.uri, [...(byFile.get(edit.uri) ?? []), TextEdit.replace(range, edit.text)]);
  }
  const { documents, client } = context;
  const changes = [...byFile].map(([key, edits]) => ({ uri: documents.clientUri(key), key, edits }));
  if (!client.versionedEdits) {
    return { changes: Object.fromEntries(changes.map(({ uri, edits }) => [uri, edits])) };
  }
  return {
    documentChanges: changes.map(({ uri, key, edits }) => ({
      textDocument: { uri, version: documents.get(key)?.version ?? null },
      edits,
    })),
  };
}
