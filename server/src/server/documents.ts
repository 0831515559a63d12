import type { Connection, TextDocumentChangeEvent } from 'vscode-languageserver';
import { TextDocuments } from 'vscode-languageserver';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { URI } from 'vscode-uri';

/** One way of writing a URI: clients differ in what they percent-encode, and `uses:` is resolved by us. */
export function keyOf(uri: string): string {
  return URI.parse(uri).toString();
}

/** The files that are open in the editor, by key; `TextDocument.uri` is as the client writes it. */
export class OpenDocuments {
  readonly #synchronised = new TextDocuments(TextDocument);
  readonly #keys = new Map<string, string>();

  get(key: string): TextDocument | undefined {
    const uri = this.#keys.get(key);
    return uri === undefined ? undefined : this.#synchronised.get(uri);
  }

  keys(): string[] {
    return [...this.#keys.keys()];
  }

  /** How the client writes this file's URI. */
  clientUri(key: string): string {
    return this.#keys.get(key) ?? key;
  }

  listen(
    connection: Connection,
    on: { changed(key: string): void; saved(): void; closed(key: string, uri: string): void },
  ): void {
    const keyed =
      (handle: (key: string, uri: string) => void) =>
      ({ document: { uri } }: TextDocumentChangeEvent<TextDocument>) =>
        handle(keyOf(uri), uri);
    this.#synchronised.onDidChangeContent(
      keyed((key, uri) => {
        this.#keys.set(key, uri);
        on.changed(key);
      }),
    );
    this.#synchronised.onDidSave(() => on.saved());
    this.#synchronised.onDidClose(
      keyed((key, uri) => {
        this.#keys.delete(key);
        on.closed(key, uri);
      }),
    );
    this.#synchronised.listen(connection);
  }
}
