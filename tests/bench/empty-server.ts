/** The floor of starting: a language server on the same library that does nothing. */
import { createConnection, ProposedFeatures, TextDocumentSyncKind } from 'vscode-languageserver/node';

const connection = createConnection(ProposedFeatures.all);
connection.onInitialize(() => ({ capabilities: { textDocumentSync: TextDocumentSyncKind.Incremental } }));
connection.listen();
