import { readdir, readFile, stat, writeFile } from 'node:fs/promises';
import { createServer } from 'node:http';
import type { IncomingMessage, ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import path from 'node:path';
import type { Browser } from 'playwright-core';
import { openBrowser } from './browser.ts';
import type { Workbench } from './workbench.ts';
import { prepareRun, settings } from './workbench.ts';

/**
 * The same workbench as a page and nothing else: no server of its own, extensions run in a worker of the browser, the
 * folder is a virtual one. What is served here are files.
 * @param open file of the samples to show at once
 * @param vsix the packed extension
 * @param locale language of the editor; it has no pack of its own words for any but English
 */
export async function startWebWorkbench(open: string, vsix: string, locale = 'en'): Promise<Workbench> {
  const run = await prepareRun(vsix);
  const vscode = path.resolve(path.dirname(run.entry), '../../lib/vscode');
  const plugward = (await readdir(run.extensions)).find((name) => name.startsWith('plugward.'))!;
  const served: Readonly<Record<string, string>> = {
    static: vscode,
    plugward: path.join(run.extensions, plugward),
    'shop-files': path.resolve('tests/editor/web-files'),
    'yaml-stranger': path.resolve('tests/editor/yaml-stranger'),
    files: run.folder,
  };
  const server = createServer((request, response) => {
    answer(request, response, served, locale).catch((error: unknown) =>
      response.writeHead(500).end(String(error)),
    );
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const authority = `127.0.0.1:${(server.address() as AddressInfo).port}`;
  let browser: Browser | undefined;
  const stop = async () => {
    await browser?.close();
    server.closeAllConnections();
    await new Promise((resolve) => server.close(resolve));
    await run.end();
  };
  try {
    browser = await openBrowser();
    const page = await browser.newPage({ viewport: { width: 1180, height: 720 } });
    const payload = JSON.stringify([['openFile', `shop:/${open}`]]);
    await page.goto(`http://${authority}/?${new URLSearchParams({ payload }).toString()}`);
    return { page, folder: run.folder, stop };
  } catch (error) {
    await stop();
    throw error;
  }
}

async function answer(
  request: IncomingMessage,
  response: ServerResponse,
  served: Readonly<Record<string, string>>,
  locale: string,
): Promise<void> {
  const { pathname } = new URL(request.url ?? '/', 'http://127.0.0.1');
  if (pathname === '/') {
    response.writeHead(200, { 'content-type': 'text/html' }).end(page(request.headers.host!, locale));
    return;
  }
  const [, place, ...below] = decodeURIComponent(pathname).split('/');
  const root = served[place!];
  const file = root && path.join(root, ...below);
  const found = file && file.startsWith(root) ? await stat(file).catch(() => undefined) : undefined;
  const json = (value: unknown) =>
    response.writeHead(200, { 'content-type': 'application/json' }).end(JSON.stringify(value));
  if (file?.startsWith(root!) && request.method === 'PUT') {
    const parts: Buffer[] = [];
    for await (const part of request) parts.push(part as Buffer);
    await writeFile(file, Buffer.concat(parts));
    response.writeHead(200).end();
  } else if (!file || !found) response.writeHead(404).end();
  else if (request.headers['want'] === 'stat') {
    const { ctimeMs: ctime, mtimeMs: mtime, size } = found;
    json({ type: found.isDirectory() ? 2 : 1, ctime, mtime, size });
  } else if (request.headers['want'] === 'entries') {
    const entries = await readdir(file, { withFileTypes: true });
    json(entries.map((entry) => [entry.name, entry.isDirectory() ? 2 : 1]));
  } else {
    const type = types[path.extname(file)] ?? 'application/octet-stream';
    const body = await readFile(file);
    const script = file.endsWith('/workbench/workbench.js') ? aloneInThePage(body.toString()) : body;
    response.writeHead(200, { 'content-type': type }).end(script);
  }
}

/** The pinned workbench expects the server it ships with, for extensions and settings. Here there is none. */
function aloneInThePage(script: string): string {
  const changes: readonly [RegExp, string][] = [
    [/,remoteAuthority:location\.host(?=\})/, ''],
    [
      /(get userRoamingDataHome\(\)\{return \w+\(\w+\.file\(this\.userDataPath\)\.with\(\{scheme:\w+\.)vscodeRemote/,
      '$1vscodeUserData',
    ],
  ];
  return changes.reduce((text, [place, instead]) => {
    if (!place.test(text)) throw new Error(`the workbench has no ${place.source}`);
    return text.replace(place, instead);
  }, script);
}

const types: Readonly<Record<string, string>> = {
  '.html': 'text/html',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.json': 'application/json',
  '.svg': 'image/svg+xml',
  '.wasm': 'application/wasm',
};

/** The workbench's own page for a web server, cut down to what a page without a server needs. */
function page(authority: string, locale: string): string {
  const extension = (place: string) => ({ scheme: 'http', authority, path: `/${place}` });
  const configuration = JSON.stringify({
    folderUri: { $mid: 1, scheme: 'shop', path: '/', authority: '' },
    additionalBuiltinExtensions: ['plugward', 'shop-files', 'yaml-stranger'].map(extension),
    configurationDefaults: settings,
    userDataPath: '/',
    isEnabledFileDownloads: false,
    isEnabledFileUploads: false,
    isEnabledCoderGettingStarted: false,
    webviewEndpoint: `http://${authority}/static/out/vs/workbench/contrib/webview/browser/pre/`,
  });
  return `<!doctype html>
<html>
<head>
<meta charset="utf-8">
<meta id="vscode-workbench-web-configuration" data-settings="${configuration.replaceAll('"', '&quot;')}">
<link rel="stylesheet" href="/static/out/vs/code/browser/workbench/workbench.css">
</head>
<body aria-label=""></body>
<script>globalThis._VSCODE_FILE_ROOT = new URL('/static/out/', window.location).toString();</script>
<script type="module" src="/static/out/nls.messages.js"></script>
<script type="module">globalThis._VSCODE_NLS_LANGUAGE = '${locale}';</script>
<script type="module" src="/static/out/vs/code/browser/workbench/workbench.js"></script>
</html>`;
}
