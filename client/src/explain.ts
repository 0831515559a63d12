import type { Diagnostic } from 'vscode';
import { commands, languages, Uri, window, workspace } from 'vscode';

/** Makes the id of a finding open its page as a preview instead of as Markdown source. */
export function linkToPage(diagnostic: Diagnostic): void {
  const value = idOf(diagnostic);
  if (value === undefined) return;
  const argument = encodeURIComponent(JSON.stringify([value]));
  diagnostic.code = { value, target: Uri.parse(`command:plugward.explain?${argument}`) };
}

/** Opens the page of `finding`; without one, of the finding at the cursor; without that, of one the user picks. */
export async function explainFinding(extension: Uri, finding: unknown): Promise<void> {
  const pages = Uri.joinPath(extension, 'dist', 'docs');
  const known = (await workspace.fs.readDirectory(pages)).map(([name]) => name.replace(/\.md$/, '')).sort();
  const wanted = typeof finding === 'string' ? finding : findingAtCursor();
  const id =
    wanted !== undefined && known.includes(wanted)
      ? wanted
      : await window.showQuickPick(known, { title: 'Explain finding', placeHolder: 'Which finding?' });
  if (id === undefined) return;
  await commands.executeCommand('markdown.showPreview', Uri.joinPath(pages, `${id}.md`));
}

function findingAtCursor(): string | undefined {
  const editor = window.activeTextEditor;
  if (!editor) return undefined;
  const at = editor.selection.active;
  const here = languages
    .getDiagnostics(editor.document.uri)
    .filter(({ source, range }) => source === 'plugward' && range.contains(at))
    .sort((a, b) => a.severity - b.severity)[0];
  return here && idOf(here);
}

function idOf({ code }: Diagnostic): string | undefined {
  const value = typeof code === 'object' ? code.value : code;
  return typeof value === 'string' ? value : undefined;
}
