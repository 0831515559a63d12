import { mkdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import type { Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { startWorkbench } from './workbench.ts';
import type { Workbench } from './workbench.ts';

const plan = 'quarter-panel-faulty.repair-plan.yaml';
const screenshots = path.resolve('dist/screenshots');

describe('the packed extension in a real workbench', () => {
  let workbench: Workbench;
  let page: Page;
  const onDisk = () => readFileSync(path.join(workbench.folder, plan), 'utf8');
  const shot = (name: string) => page.screenshot({ path: path.join(screenshots, `${name}.png`) });
  const problems = () => page.locator('.markers-panel .monaco-list-row');

  beforeAll(async () => {
    mkdirSync(screenshots, { recursive: true });
    workbench = await startWorkbench(plan, 'dist/plugward.vsix');
    page = workbench.page;
    page.setDefaultTimeout(90_000);
  });
  afterAll(() => workbench?.stop());

  /** Puts the cursor on `word` in the first line that contains `line`. */
  async function goTo(line: string, word: string): Promise<void> {
    const lines = onDisk().split('\n');
    const number = lines.findIndex((each) => each.includes(line));
    await page.locator('.editor-group-container .view-lines').first().click();
    await page.keyboard.press('Control+g');
    const column = lines[number]!.indexOf(word) + 2;
    await page.locator('.quick-input-widget input').fill(`:${number + 1}:${column}`);
    await page.keyboard.press('Enter');
    await page.locator('.quick-input-widget').waitFor({ state: 'hidden' });
  }

  /** Does `act` until what it shows stays: a menu closes when the editor happens to draw itself anew. */
  async function until(shown: Locator, act: () => Promise<void>): Promise<void> {
    for (let tries = 0; tries < 10; tries++) {
      await act();
      try {
        await shown.waitFor({ timeout: 5_000 });
        await page.waitForTimeout(500);
        if (await shown.isVisible()) return;
      } catch {
        await page.keyboard.press('Escape');
      }
    }
    await shot('failure');
    throw new Error(`${shown.toString()} does not stay; see failure.png`);
  }

  async function pointAtCursor(): Promise<void> {
    const cursor = (await page.locator('.cursors-layer .cursor').first().boundingBox())!;
    await page.mouse.move(cursor.x + 60, cursor.y + 100);
    await page.mouse.move(cursor.x + 4, cursor.y + cursor.height / 2, { steps: 4 });
  }

  it('underlines what the plan forgets', async () => {
    await goTo('{ id: op30', 'op30');
    await page.locator('.squiggly-error').first().waitFor();
    await page.locator('.squiggly-warning').first().waitFor();
    expect(await page.locator('.statusbar-item', { hasText: 'Repair Plan' }).count()).toBe(1);
    await page.keyboard.press('Control+B'); // room for the long lines
  });

  it('lists every finding with the places it comes from', async () => {
    await page.keyboard.press('Control+Shift+M');
    const bare = problems().filter({ hasText: 'bare-connector' });
    await bare.waitFor();
    expect(await bare.innerText()).toMatch(/hv-interlock.*op20/);
    expect(await problems().filter({ hasText: 'half-covered' }).count()).toBe(1);
    await goTo('{ id: op35', 'curtain-airbag-left');
    await shot('problems');
  });

  it('shows the heat of a connector on hover', async () => {
    await page.keyboard.press('Control+J'); // room for the table
    await goTo('{ id: op50', 'op50');
    await goTo('{ id: op20', 'inverter-dc');
    // Its list allows 0.5 mΩ, and it carries 180 A: P = I²R is 16.2 W (OpenStax College Physics, Electric Power).
    const hover = page.locator('.monaco-hover:visible', { hasText: '16.2 W' });
    await until(hover, pointAtCursor);
    await shot('heat');
    await page.keyboard.press('Escape');
    await page.keyboard.press('Control+J');
  });

  it('offers the missing step, and the finding goes when it is taken', async () => {
    await goTo('{ id: op20', 'hv-interlock');
    const fix = page.locator('.action-widget .monaco-list-row.focused', {
      hasText: 'Cover hv-interlock right after op20',
    });
    await until(fix, () => page.keyboard.press('Control+.'));
    await shot('fix');
    await page.keyboard.press('Enter');
    await problems().filter({ hasText: 'bare-connector' }).waitFor({ state: 'detached' });
    await shot('fixed');
  });

  it('saves the plan with the new step and everything else as it was', async () => {
    const before = onDisk().split('\n');
    await page.locator('.editor-group-container .view-lines').first().click();
    await page.keyboard.press('Control+S');
    // The editor empties the file before it writes it.
    await expect.poll(() => onDisk().length, { timeout: 30_000 }).toBeGreaterThan(before.join('\n').length);
    const after = onDisk().split('\n');
    const step = after.find((line) => !before.includes(line) && line.includes('do: cover'));
    expect(step).toMatch(/connectors: \[hv-interlock\].*halves: both/);
    expect(after.indexOf(step!)).toBe(after.findIndex((line) => line.includes('{ id: op20')) + 1);
    expect(after.filter((line) => before.includes(line))).toEqual(before);
  });

  it('goes on after its server was restarted', async () => {
    await page.keyboard.press('F1');
    await page.locator('.quick-input-widget input').fill('>Plugward: Restart language server');
    await page.locator('.quick-input-list .focused', { hasText: 'Restart language server' }).waitFor();
    await page.keyboard.press('Enter');
    await page.locator('.quick-input-widget').waitFor({ state: 'hidden' });
    await page.keyboard.press('Control+Z');
    await problems().filter({ hasText: 'bare-connector' }).waitFor();
  });

  it('explains a finding on its page', async () => {
    await problems().filter({ hasText: 'half-covered' }).locator('a', { hasText: 'half-covered' }).click();
    await page.locator('.tab', { hasText: 'Preview half-covered.md' }).waitFor();
    const content = page.frameLocator('iframe.webview.ready').frameLocator('#active-frame');
    await content.getByText('Why it matters.').waitFor();
    await shot('page');
  });
});
