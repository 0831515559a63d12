import type { Diagnostic, Disposable } from 'vscode';
import { commands, l10n, languages, Uri, window, workspace } from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';

/** Makes the id of a finding open its page as a preview instead of as Markdown source. */
export function linkToPage(diagnostic: Diagnostic): void {
  const value = idOf(diagnostic);
  if (value === undefined) return;
  const argument = encodeURIComponent(JSON.stringify([value]));
  diagnostic.code = { value, target: Uri.parse(`command:plugward.explain?${argument}`) };
}

/** The scheme of the pages; their texts come from the server, in the language of the editor. */
const scheme = 'plugward-page';

const pageOf = (finding: string): Uri => Uri.from({ scheme, path: `/${finding}.md` });

/** Lets the editor open the pages. */
export const registerPages = (client: BaseLanguageClient): Disposable =>
  workspace.registerTextDocumentContentProvider(scheme, {
    async provideTextDocumentContent({ path, query }) {
      if (query !== '') {
        const [uri, connector] = JSON.parse(query) as [string, string];
        const heat = await client.sendRequest<{ markdown: string } | null>('plugward/heat', {
          uri,
          connector,
        });
        return heat?.markdown;
      }
      const finding = path.slice(1).replace(/\.md$/, '');
      const page = await client.sendRequest<{ markdown: string } | null>('plugward/explain', { finding });
      return page?.markdown;
    },
  });

/** Opens the page of a connector's heat, as the plan stands now. */
export async function showHeat(uri: unknown, connector: unknown): Promise<void> {
  if (typeof uri !== 'string' || typeof connector !== 'string') return;
  const query = JSON.stringify([uri, connector, Date.now()]);
  await commands.executeCommand(
    'markdown.showPreview',
    Uri.from({ scheme, path: `/${connector}.md`, query }),
  );
}

/** Opens the page of `finding`; without one, of the finding at the cursor; without that, of one the user picks. */
export async function explainFinding(client: BaseLanguageClient, finding: unknown): Promise<void> {
  const known = await client.sendRequest<{ id: string; title: string }[]>('plugward/findings', {});
  const wanted = typeof finding === 'string' ? finding : findingAtCursor();
  const id = known.some((one) => one.id === wanted)
    ? wanted
    : (
        await window.showQuickPick(
          known.map((one) => ({ label: one.id, description: one.title })),
          {
            title: l10n.t('Explain finding'),
            placeHolder: l10n.t('Which finding?'),
            matchOnDescription: true,
          },
        )
      )?.label;
  if (id === undefined) return;
  await commands.executeCommand('markdown.showPreview', pageOf(id));
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
