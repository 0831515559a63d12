import type { ChildProcess } from 'node:child_process';
import { spawn } from 'node:child_process';
import { cp, mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { createServer } from 'node:net';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { openBrowser } from './browser.ts';
import { installHost } from './host.ts';

/** A real workbench with the packed extension, opened on a copy of the samples in a throw-away folder. */
export interface Workbench {
  readonly page: Page;
  /** The copy of the samples that is open. */
  readonly folder: string;
  stop(): Promise<void>;
}

export const settings = {
  'workbench.startupEditor': 'none',
  'workbench.enableExperiments': false,
  'workbench.tips.enabled': false,
  'workbench.activityBar.location': 'hidden',
  // Newer workbenches open a chat beside the editors; on the narrower page a walkthrough leaves its pictures out.
  'workbench.secondarySideBar.defaultVisibility': 'hidden',
  'workbench.colorTheme': 'Default Dark Modern',
  'telemetry.telemetryLevel': 'off',
  'update.mode': 'none',
  'extensions.autoUpdate': false,
  'extensions.autoCheckUpdates': false,
  'extensions.ignoreRecommendations': true,
  'security.workspace.trust.startupPrompt': 'never',
  'security.workspace.trust.banner': 'never',
  'git.enabled': false,
  'explorer.fileNesting.enabled': true,
  'files.autoSave': 'off',
  'editor.hover.delay': 100,
  'editor.minimap.enabled': false,
  'editor.stickyScroll.enabled': false,
  'chat.commandCenter.enabled': false,
  'window.restoreWindows': 'none',
};

/** The workbench's program, a copy of the samples, and the packed extension unpacked as the workbench does it. */
export interface Run {
  readonly entry: string;
  readonly locations: readonly string[];
  readonly env: NodeJS.ProcessEnv;
  readonly folder: string;
  readonly extensions: string;
  end(): Promise<void>;
}

/**
 * @param vsix the packed extension
 * @param language of the editor; for any but English it gets a pack of that language without words
 * @param empty whether the folder holds no samples, as a new user's
 * @param more settings of the editor
 */
export async function prepareRun(
  vsix: string,
  language?: string,
  empty = false,
  more: object = {},
): Promise<Run> {
  const entry = await installHost();
  const run = await mkdtemp(path.join(tmpdir(), 'plugward-editor-'));
  const folder = path.join(run, 'harbour-lane');
  const extensions = path.join(run, 'extensions');
  if (empty) await mkdir(folder);
  else await cp('samples', folder, { recursive: true });
  await mkdir(path.join(run, 'data/User'), { recursive: true });
  await writeFile(path.join(run, 'data/User/settings.json'), JSON.stringify({ ...settings, ...more }));
  await writeFile(path.join(run, 'config.yaml'), '');
  if (language !== undefined) {
    const words = path.join(run, 'data/words.json');
    await writeFile(words, JSON.stringify({ '': [], version: '1.0.0', contents: {} }));
    const extensions = [{ extensionIdentifier: { id: `plugward.${language}` }, version: '1.0.0' }];
    const pack = { hash: language, label: language, extensions, translations: { vscode: words } };
    await writeFile(path.join(run, 'data/languagepacks.json'), JSON.stringify({ [language]: pack }));
  }

  const locations = [
    ...['--user-data-dir', path.join(run, 'data')],
    ...['--extensions-dir', extensions],
    ...['--config', path.join(run, 'config.yaml')],
    ...(language === undefined ? [] : ['--locale', language]),
  ];
  const env = environment(run);
  await finished(spawn(process.execPath, [entry, ...locations, '--install-extension', vsix], { env }));
  const end = () => rm(run, { recursive: true, force: true, maxRetries: 5 });
  return { entry, locations, env, folder, extensions, end };
}

/**
 * @param open file of the samples to show at once; without one the folder is empty
 * @param vsix the packed extension
 * @param foreign files that a stranger has put beside the samples; with them, the folder is one that nobody trusts
 * @param language of the editor, if it is not English
 * @param more settings of the editor
 */
export async function startWorkbench(
  open: string | undefined,
  vsix: string,
  foreign?: Readonly<Record<string, string>>,
  language?: string,
  more?: object,
): Promise<Workbench> {
  const { entry, locations, env, folder, end } = await prepareRun(vsix, language, open === undefined, more);
  for (const [name, text] of Object.entries(foreign ?? {})) {
    await mkdir(path.dirname(path.join(folder, name)), { recursive: true });
    await writeFile(path.join(folder, name), text);
  }
  const port = await freePort();
  const server = spawn(
    process.execPath,
    [
      ...[entry, ...locations, '--auth', 'none', '--bind-addr', `127.0.0.1:${port}`],
      ...['--disable-telemetry', '--disable-update-check', '--disable-proxy'],
      ...(foreign ? [] : ['--disable-workspace-trust']),
      ...['--disable-getting-started-override', '--ignore-last-opened'],
    ],
    // A process group of its own, so that the extension host goes with it.
    { env, stdio: 'ignore', detached: true },
  );
  let browser: Browser | undefined;
  const stop = async () => {
    await browser?.close();
    await stopGroup(server);
    await end();
  };

  try {
    await healthy(`http://127.0.0.1:${port}/healthz`, server);
    browser = await openBrowser();
    const page = await browser.newPage({ viewport: { width: 1180, height: 720 } });
    const payload = JSON.stringify([['openFile', `vscode-remote://127.0.0.1:${port}${folder}/${open}`]]);
    const asked = new URLSearchParams(open === undefined ? { folder } : { folder, payload });
    await page.goto(`http://127.0.0.1:${port}/?${asked.toString()}`);
    return { page, folder, stop };
  } catch (error) {
    await stop();
    throw error;
  }
}

/** No home, no settings and no extension gallery but the run's own. */
function environment(run: string): NodeJS.ProcessEnv {
  const inRun = (name: string) => path.join(run, name);
  return {
    PATH: process.env.PATH,
    LANG: 'C.UTF-8',
    HOME: inRun('home'),
    XDG_CONFIG_HOME: inRun('config'),
    XDG_DATA_HOME: inRun('share'),
    XDG_CACHE_HOME: inRun('cache'),
    XDG_RUNTIME_DIR: inRun('runtime'),
    EXTENSIONS_GALLERY: JSON.stringify({ serviceUrl: '', itemUrl: '', resourceUrlTemplate: '' }),
  };
}

function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const probe = createServer().on('error', reject);
    probe.listen(0, '127.0.0.1', () => {
      const { port } = probe.address() as AddressInfo;
      probe.close(() => resolve(port));
    });
  });
}

function finished(child: ChildProcess): Promise<void> {
  let output = '';
  for (const stream of [child.stdout, child.stderr]) stream?.on('data', (data) => (output += String(data)));
  return new Promise((resolve, reject) => {
    child.on('error', reject);
    child.on('exit', (code) => (code === 0 ? resolve() : reject(new Error(`exit ${code}\n${output}`))));
  });
}

async function healthy(url: string, server: ChildProcess): Promise<void> {
  for (let tries = 0; tries < 300; tries++) {
    if (server.exitCode !== null) throw new Error(`the workbench's server ended with ${server.exitCode}`);
    const answer = await fetch(url).catch(() => undefined);
    if (answer?.ok) return;
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
  throw new Error('the workbench did not come up');
}

async function stopGroup(server: ChildProcess): Promise<void> {
  if (server.exitCode !== null || server.pid === undefined) return;
  const ended = new Promise<void>((resolve) => server.once('exit', () => resolve()));
  process.kill(-server.pid, 'SIGTERM');
  const late = setTimeout(() => process.kill(-server.pid!, 'SIGKILL'), 5_000);
  await ended;
  clearTimeout(late);
}
