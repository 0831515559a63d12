// The language server in a browser's worker; files are read by the client.
import { BrowserMessageReader, BrowserMessageWriter, createConnection } from 'vscode-languageserver/browser';
import { version } from '../../package.json';
import { addressOf, coreLiesAt } from './browser-core.ts';
import { clientFiles } from './lsp/client-files.ts';
import { runBeforeMessages, DeferredWork, serve } from './lsp/serve.ts';

/** The types of a browser and of Node do not mix. */
const scope = globalThis as unknown as ConstructorParameters<typeof BrowserMessageReader>[0];

const postponed = new DeferredWork();
const connection = createConnection(new BrowserMessageReader(scope), new BrowserMessageWriter(scope), {
  messageStrategy: runBeforeMessages(postponed),
});

serve(
  connection,
  {
    files: clientFiles(connection),
    today() {
      const now = new Date();
      const two = (value: number): string => String(value).padStart(2, '0');
      return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
    },
    pageOf: (finding) => addressOf(`docs/${finding}.md`),
    prepare: ({ initializationOptions }) =>
      coreLiesAt((initializationOptions as { core?: unknown } | null | undefined)?.core),
    turn: () => new Promise((resolve) => setTimeout(resolve)),
  },
  version,
  postponed,
);
