import type { Disposable, Event, TextDocument, TextEditor, WebviewPanel } from 'vscode';
import { commands, env, l10n, ViewColumn, window, workspace } from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import { previewShell } from './preview-shell.ts';

const previewed: readonly string[] = ['plugward-repair-plan', 'plugward-shop-procedure'];

/** Debounce in ms after an edit before the preview is redrawn. */
const quiet = 120;

/**
 * Registers the command that opens the preview beside the text; there is one panel, and it follows the editor.
 * @param changed that something has changed which the editor does not know of, as a sheet on disk
 */
export function registerPreview(client: BaseLanguageClient, changed: Event<void>): Disposable {
  let preview: Preview | undefined;
  const command = commands.registerCommand('plugward.preview', () => {
    const document = window.activeTextEditor?.document;
    if (preview) preview.reveal();
    else preview = new Preview(client, changed, () => (preview = undefined));
    if (document) preview.follow(document);
  });
  return { dispose: () => [command, preview].forEach((one) => one?.dispose()) };
}

interface Message {
  readonly kind: 'ready' | 'reveal';
  readonly offset?: number;
}

class Preview implements Disposable {
  readonly #client: BaseLanguageClient;
  readonly #panel: WebviewPanel;
  readonly #subscriptions: Disposable[] = [];
  #document: TextDocument | undefined;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #asked = 0;

  constructor(client: BaseLanguageClient, changed: Event<void>, closed: () => void) {
    this.#client = client;
    this.#panel = window.createWebviewPanel(
      'plugward.preview',
      l10n.t('Preview'),
      { viewColumn: ViewColumn.Beside, preserveFocus: true },
      { enableScripts: true, localResourceRoots: [] },
    );
    this.#panel.webview.html = previewShell(
      crypto.randomUUID(),
      // Untranslated texts are English.
      l10n.bundle ? env.language : 'en',
      l10n.t('Preview of the plan'),
    );
    this.#subscriptions.push(
      this.#panel.webview.onDidReceiveMessage((message: Message) => this.#hear(message)),
      workspace.onDidChangeTextDocument(({ document }) => {
        // A sheet or a list that the plan uses may have changed too.
        if (document.languageId.startsWith('plugward-')) this.#soon();
      }),
      changed(() => this.#soon()),
      window.onDidChangeActiveTextEditor((editor) => editor && this.follow(editor.document)),
      window.onDidChangeTextEditorSelection(({ textEditor }) => this.#light(textEditor)),
    );
    this.#panel.onDidDispose(() => {
      clearTimeout(this.#timer);
      for (const subscription of this.#subscriptions) subscription.dispose();
      closed();
    });
  }

  dispose(): void {
    this.#panel.dispose();
  }

  reveal(): void {
    this.#panel.reveal(undefined, true);
  }

  follow(document: TextDocument): void {
    if (!previewed.includes(document.languageId)) return;
    this.#document = document;
    const path = document.uri.path;
    this.#panel.title = l10n.t('Preview {0}', path.slice(path.lastIndexOf('/') + 1));
    void this.#draw();
  }

  #soon(): void {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => void this.#draw(), quiet);
  }

  async #draw(): Promise<void> {
    const document = this.#document;
    if (!document) return;
    const asked = ++this.#asked;
    const uri = document.uri.toString();
    const answer = await this.#client
      .sendRequest<{ html: string } | null>('plugward/preview', { uri })
      .catch(() => null);
    // A newer request is pending; drop this response.
    if (asked !== this.#asked || !answer) return;
    await this.#panel.webview.postMessage({ kind: 'draw', html: answer.html });
    const editor = window.visibleTextEditors.find((one) => one.document === document);
    if (editor) this.#light(editor);
  }

  #light({ document, selection }: TextEditor): void {
    if (document !== this.#document) return;
    const offset = document.offsetAt(selection.active);
    void this.#panel.webview.postMessage({ kind: 'cursor', offset });
  }

  #hear({ kind, offset }: Message): void {
    if (kind === 'ready') void this.#draw();
    else if (typeof offset === 'number' && this.#document)
      void this.#client
        .sendRequest('plugward/show', { uri: this.#document.uri.toString(), offset })
        .catch(() => undefined);
  }
}
