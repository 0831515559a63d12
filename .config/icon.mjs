// Draws client/media/icon.png from icon.svg. Run by hand when the drawing changes.
import { readFile } from 'node:fs/promises';
import { chromium } from 'playwright-core';

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: ['--no-sandbox'],
});
const page = await browser.newPage({ viewport: { width: 128, height: 128 } });
await page.setContent(`<body style="margin:0">${await readFile('client/media/icon.svg', 'utf8')}</body>`);
await page.screenshot({ path: 'client/media/icon.png', omitBackground: true });
await browser.close();
