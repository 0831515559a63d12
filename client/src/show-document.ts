import { Range, TextEditorRevealType, Uri, ViewColumn, window, workspace } from 'vscode';
import type { ShowDocumentParams } from 'vscode-languageclient';

/** Leads to a place where its file is shown already, and not beside it in the panel that was clicked. */
export async function showDocument({ uri, selection }: ShowDocumentParams): Promise<{ success: boolean }> {
  try {
    const document = await workspace.openTextDocument(Uri.parse(uri));
    const shown = window.visibleTextEditors.find((one) => one.document === document);
    const at =
      selection &&
      new Range(selection.start.line, selection.start.character, selection.end.line, selection.end.character);
    const editor = await window.showTextDocument(document, {
      viewColumn: shown?.viewColumn ?? ViewColumn.One,
      ...(at && { selection: at }),
    });
    if (at) editor.revealRange(at, TextEditorRevealType.InCenterIfOutsideViewport);
    return { success: true };
  } catch {
    return { success: false };
  }
}
