import { readFileSync } from 'node:fs';
import path from 'node:path';
import type { FrameLocator, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { startWorkbench } from './workbench.ts';
import type { Workbench } from './workbench.ts';

const plan = 'quarter-panel-faulty.repair-plan.yaml';

describe('the preview in a real workbench', () => {
  let workbench: Workbench;
  let page: Page;
  let preview: FrameLocator;
  const lines = () => readFileSync(path.join(workbench.folder, plan), 'utf8').split('\n');
  const lineOf = (text: string) => lines().findIndex((line) => line.includes(text)) + 1;
  const cursor = (line: number) => page.locator('.statusbar-item', { hasText: `Ln ${line},` });

  async function goTo(line: number, column = 1): Promise<void> {
    await page.locator('.editor-group-container .view-lines').first().click();
    await page.keyboard.press('Control+g');
    await page.locator('.quick-input-widget input').fill(`:${line}:${column}`);
    await page.keyboard.press('Enter');
    await page.locator('.quick-input-widget').waitFor({ state: 'hidden' });
  }

  beforeAll(async () => {
    workbench = await startWorkbench(plan, 'dist/plugward.vsix');
    page = workbench.page;
    page.setDefaultTimeout(90_000);
    preview = page.frameLocator('iframe.webview').frameLocator('iframe#active-frame');
    await page.locator('.statusbar-item', { hasText: 'Repair Plan' }).waitFor();
  });
  afterAll(() => workbench?.stop());

  it('opens beside the text, from the button above it', async () => {
    await page.locator('.editor-actions [aria-label^="Open preview to the side"]').first().click();
    await preview.locator('h1', { hasText: 'HL-0148' }).waitFor();
    expect(await preview.locator('svg.plugward-timeline g.lane').count()).toBeGreaterThan(4);
  });

  it('lights up the step and the lane of the place where the cursor stands', async () => {
    await goTo(lineOf('{ id: op26'), 12);
    await preview.locator('tr.lit .step', { hasText: 'op26' }).waitFor();
    expect(await preview.locator('g.lane.lit title').allTextContents()).toEqual([
      expect.stringContaining('inverter-dc') as string,
    ]);
  });

  it('moves the cursor to the step that is clicked', async () => {
    await preview
      .locator('tr', { has: page.locator('.step', { hasText: 'op35' }) })
      .first()
      .click();
    await cursor(lineOf('{ id: op35')).waitFor();
  });

  it('moves the cursor to where the connector of a lane is handled first', async () => {
    await preview.locator('g.lane', { hasText: 'curtain-airbag-left' }).locator('text').first().click();
    await cursor(lineOf('{ id: op30')).waitFor();
  });

  it('follows every edit', async () => {
    await goTo(lineOf('plan: HL-0148'), 'plan: HL-0148'.length + 1);
    await page.keyboard.type('9');
    await preview.locator('h1', { hasText: 'HL-01489' }).waitFor();
  });
});
