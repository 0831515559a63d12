import type {
  AnnotatedTextEdit,
  Diagnostic,
  DiagnosticRelatedInformation,
  Range as ProtocolRange,
  TextEdit,
  WorkspaceEdit,
} from 'vscode-languageserver';
import { DiagnosticSeverity, DiagnosticTag, StringValue } from 'vscode-languageserver';
import { addToGroup } from '../base/collections.ts';
import type { Edit, Range } from '../text/span.ts';
import { tagOf } from '../features/explain.ts';
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

const tags = { unused: DiagnosticTag.Unnecessary, renamed: DiagnosticTag.Deprecated } as const;

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
  const tag = context.client.diagnosticTags ? tagOf(diagnosis.finding) : undefined;
  if (tag) diagnostic.tags = [tags[tag]];
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

/** What a client shows of edits that it applies only once they have been looked at. */
export interface Question {
  readonly label: string;
  readonly description: string;
}

/**
 * @param question asked before these edits are applied, by a client that can
 * @throws Error when an edit belongs to a file that the workspace does not hold.
 */
export function toWorkspaceEdit(
  context: Context,
  edits: readonly Edit[],
  question?: Question,
): WorkspaceEdit {
  const { documents, client } = context;
  const asked = client.annotatesEdits ? question : undefined;
  const byFile = new Map<string, (TextEdit | AnnotatedTextEdit)[]>();
  for (const edit of edits) {
    const range = toRange(context, edit);
    if (!range) throw new Error(`an edit in a file that is not loaded: ${edit.uri}`);
    const annotation = asked ? { annotationId: questionId } : {};
    addToGroup(byFile, edit.uri, { range, newText: edit.text, ...annotation });
  }
  const changes = [...byFile].map(([key, edits]) => ({ uri: documents.clientUri(key), key, edits }));
  if (!client.versionedEdits) {
    return { changes: Object.fromEntries(changes.map(({ uri, edits }) => [uri, edits])) };
  }
  return {
    documentChanges: changes.map(({ uri, key, edits }) => ({
      textDocument: { uri, version: documents.get(key)?.version ?? null },
      edits,
    })),
    ...(asked ? { changeAnnotations: { [questionId]: { ...asked, needsConfirmation: true } } } : {}),
  };
}

/**
 * For a client that takes them: an edit whose text has places to fill in, written as in TextMate snippets.
 * @throws Error when the workspace does not hold the file.
 */
export function toSnippetEdit(context: Context, edit: Edit): WorkspaceEdit {
  const range = toRange(context, edit);
  if (!range) throw new Error(`an edit in a file that is not loaded: ${edit.uri}`);
  const { documents } = context;
  const textDocument = {
    uri: documents.clientUri(edit.uri),
    version: documents.get(edit.uri)?.version ?? null,
  };
  return {
    documentChanges: [{ textDocument, edits: [{ range, snippet: StringValue.createSnippet(edit.text) }] }],
  };
}

/** Of the one annotation in an edit. */
const questionId = 'look-at-each';
