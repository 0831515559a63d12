// The language server in a browser's worker; files are read by the client.
import { BrowserMessageReader, BrowserMessageWriter, createConnection } from 'vscode-languageserver/browser';
import { version } from '../../package.json';
import { clientFiles } from './server/client-files.ts';
import { doingFirst, Postponed, serve } from './server/serve.ts';

/** As much of a worker's global scope as is used here; the types of a browser and of Node do not mix. */
interface WorkerScope {
  readonly location: { readonly href: string };
}
const scope = globalThis as unknown as WorkerScope & ConstructorParameters<typeof BrowserMessageReader>[0];

const postponed = new Postponed();
const connection = createConnection(new BrowserMessageReader(scope), new BrowserMessageWriter(scope), {
  messageStrategy: doingFirst(postponed),
});

/** The build writes the pages beside the bundle. An editor may start the worker from a blob, which has no beside. */
function pageOf(finding: string): string | undefined {
  const beside = `docs/${finding}.md`;
  return URL.canParse(beside, scope.location.href) ? new URL(beside, scope.location.href).href : undefined;
}

serve(
  connection,
  {
    files: clientFiles(connection),
    today() {
      const now = new Date();
      const two = (value: number): string => String(value).padStart(2, '0');
      return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
    },
    pageOf,
    turn: () => new Promise((resolve) => setTimeout(resolve)),
  },
  version,
  postponed,
);
