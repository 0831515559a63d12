import type { Connection, TextDocumentChangeEvent } from 'vscode-languageserver';
import { TextDocuments } from 'vscode-languageserver';
import { URI } from 'vscode-uri';
import { OpenText } from './open-text.ts';

let onDisk = (uri: string): string => uri;

/**
 * For a process whose disk takes several spellings of a name for one file.
 * @param spelling the address of a file as the disk spells it; the given one where there is no such file
 */
export function keyByDisk(spelling: (uri: string) => string): void {
  onDisk = spelling;
}

/**
 * Canonical form of a URI, one for each file: clients differ in percent-encoding and, where the disk lets them, in capitals;
 * and we resolve `uses:` ourselves.
 */
export function canonicalUri(uri: string): string {
  return onDisk(URI.parse(uri).toString());
}

/** The files that are open in the editor, by key; `OpenText.uri` is as the client writes it. */
export class OpenDocuments {
  readonly #synchronised = new TextDocuments(OpenText);
  readonly #keys = new Map<string, string>();

  get(key: string): OpenText | undefined {
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
      ({ document: { uri } }: TextDocumentChangeEvent<OpenText>) =>
        handle(canonicalUri(uri), uri);
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
