// The language server as a process of its own, over standard input and output.
import { Console } from 'node:console';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { deflateRawSync, inflateRawSync } from 'node:zlib';
import { pathToFileURL } from 'node:url';
import {
  createConnection,
  LSPErrorCodes,
  StreamMessageReader,
  StreamMessageWriter,
} from 'vscode-languageserver/node';
import { version } from '../../package.json';
import { clientFiles } from './lsp/client-files.ts';
import { programDigest } from './disk/entries.ts';
import { uriOnDisk } from './disk/spelling.ts';
import { keyByDisk } from './lsp/documents.ts';
import { encodeMessage } from './lsp/encoded-json.ts';
import { Frames } from './lsp/frames.ts';
import { HeapRoom, keepHeapSmall } from './lsp/heap.ts';
import type { Host } from './lsp/host.ts';
import { nodeCache } from './lsp/node-cache.ts';
import { nodeFiles } from './lsp/node-files.ts';
import { runBeforeMessages, DeferredWork, serve } from './lsp/serve.ts';
import { coreBytes, keepCodeIn } from './node-core.ts';

keepHeapSmall();
const room = new HeapRoom();

// Their disks take several spellings of a name for one file.
if (['win32', 'darwin'].includes(process.platform)) keyByDisk(uriOnDisk);

const postponed = new DeferredWork();
// Standard output belongs to the protocol: what anything logs goes to the standard error.
globalThis.console = new Console(process.stderr);

const frames = new Frames();
// Before the connection's own reader, which would wait for ever: the client sees the end, and starts another.
process.stdin.on('data', (bytes: Buffer) => {
  const trouble = frames.follow(bytes);
  if (trouble === undefined) return;
  process.stderr.write(`Plugward ends: ${trouble} came on its standard input.\n`);
  process.exit(1);
});
const end = (): never => process.exit(postponed.shutDown ? 0 : 1);
process.stdin.on('end', end).on('close', end);

const contentTypeEncoder = {
  name: 'application/json',
  encode: async (message: object) => Promise.resolve(encodeMessage(message)),
};
const connection = createConnection(
  new StreamMessageReader(process.stdin),
  new StreamMessageWriter(process.stdout, { contentTypeEncoder }),
  {
    messageStrategy: runBeforeMessages(postponed),
    // A request cancelled while queued is answered at once and never processed.
    connectionStrategy: {
      cancelUndispatched: () => ({
        jsonrpc: '2.0',
        id: null,
        error: { code: LSPErrorCodes.RequestCancelled, message: 'cancelled' },
      }),
    },
  },
);

const remote = clientFiles(connection);

// The build writes them beside the bundle.
const pages = pathToFileURL(path.join(__dirname, 'docs')).href;

let digest: string | undefined;
const program = (): string => (digest ??= programDigest([readFileSync(__filename), coreBytes()]));

const host: Host = {
  files: {
    read: (uri, roots) => (uri.startsWith('file:') ? nodeFiles : remote).read(uri, roots),
    stamp: (uri) => (uri.startsWith('file:') ? nodeFiles : remote).stamp(uri),
    photo: (uri, roots, max) => (uri.startsWith('file:') ? nodeFiles : remote).photo(uri, roots, max),
    async whichExist(uris, roots) {
      const onDisk = (uri: string): boolean => uri.startsWith('file:');
      const [here, elsewhere] = [uris.filter(onDisk), uris.filter((uri) => !onDisk(uri))];
      const looked = new Map<string, boolean | undefined>();
      (await nodeFiles.whichExist(here, roots)).forEach((one, i) => looked.set(here[i]!, one));
      if (elsewhere.length > 0)
        (await remote.whichExist(elsewhere, roots)).forEach((one, i) => looked.set(elsewhere[i]!, one));
      return uris.map((uri) => looked.get(uri));
    },
    spelling: (uri) => (uri.startsWith('file:') ? nodeFiles : remote).spelling(uri),
    async list(roots, max) {
      const onDisk = roots.filter((root) => root.startsWith('file:'));
      const elsewhere = roots.filter((root) => !root.startsWith('file:'));
      return [...(await nodeFiles.list(onDisk, max)), ...(await remote.list(elsewhere, max))];
    },
  },
  cacheIn: (folder, looked) => nodeCache(folder, looked, program),
  keepCodeIn,
  sendsEncoded: true,
  packing: { pack: (bytes) => deflateRawSync(bytes, { level: 1 }), unpack: inflateRawSync },
  letHeapGrow: (by) => room.letHeapGrow(by),
  expectGarbage: (plans) => room.expectGarbage(plans),
  today() {
    const now = new Date();
    const two = (value: number) => String(value).padStart(2, '0');
    return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
  },
  pageOf: (finding) => `${pages}/${finding}.md`,
  turn: () => new Promise((resolve) => setImmediate(resolve)),
};

// Last-resort handler for exceptions that no request handler caught: log them and keep running.
const survive = (error: unknown) =>
  connection.console.error(error instanceof Error ? (error.stack ?? error.message) : String(error));
process.on('uncaughtException', survive);
process.on('unhandledRejection', survive);

serve(connection, host, version, postponed);
