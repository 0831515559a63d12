import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { mkdir, rm, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { chromium } from 'playwright-core';
import type { Browser } from 'playwright-core';
import { hostFolder, installHost } from './host.ts';
import { browserOnPath } from './obstacle.mts';

/** Where the browser of the host's packages is unpacked. */
const unpacked = path.join(hostFolder, 'browser');

export async function openBrowser(): Promise<Browser> {
  const own = browserOnPath();
  return chromium.launch({
    ...(own === undefined ? await packagedBrowser() : { executablePath: own }),
    args: [
      ...['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-dev-shm-usage'],
      ...['--disable-background-networking', '--disable-component-update', '--disable-sync'],
      // Nothing outside this machine is ever asked.
      '--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE 127.0.0.1',
    ],
  });
}

/**
 * The browser of `@sparticuz/chromium`, with the libraries that it carries for a system without any, and its fonts.
 * Its code unpacks where the variable TMPDIR points to, the libraries only where it takes the system for Amazon Linux 2023;
 * its font configuration names folders of that system.
 */
async function packagedBrowser() {
  // Whichever file of tests comes first.
  await installHost();
  const done = path.join(unpacked, 'unpacked');
  if (!existsSync(done)) {
    await rm(unpacked, { recursive: true, force: true });
    await mkdir(unpacked, { recursive: true });
    const script = "import browser from '@sparticuz/chromium'; await browser.executablePath();";
    execFileSync(process.execPath, ['--input-type=module', '-e', script], {
      cwd: hostFolder,
      env: { ...process.env, TMPDIR: unpacked, AWS_EXECUTION_ENV: 'AWS_Lambda_nodejs20.x' },
      stdio: ['ignore', 'ignore', 'inherit'],
    });
    const folders = `<dir>${unpacked}/fonts</dir><cachedir>${unpacked}/fonts-cache</cachedir>`;
    const fonts = `<?xml version="1.0"?>\n<fontconfig>${folders}</fontconfig>\n`;
    await writeFile(path.join(unpacked, 'fonts.conf'), fonts);
    await writeFile(done, '');
  }
  const env = {
    ...process.env,
    LD_LIBRARY_PATH: path.join(unpacked, 'al2023/lib'),
    FONTCONFIG_FILE: path.join(unpacked, 'fonts.conf'),
  };
  return { executablePath: path.join(unpacked, 'chromium'), env };
}
