import type { FrameLocator } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Hands } from './hands.ts';
import { startWorkbench } from './workbench.ts';
import type { Workbench } from './workbench.ts';

const plan = 'quarter-panel-faulty.repair-plan.yaml';

describe('the preview in a real workbench', () => {
  let workbench: Workbench;
  let hands: Hands;
  let preview: FrameLocator;
  const lineOf = (text: string) =>
    hands
      .onDisk()
      .split('\n')
      .findIndex((line) => line.includes(text)) + 1;
  const cursor = (line: number) => hands.page.locator('.statusbar-item', { hasText: `Ln ${line},` });

  beforeAll(async () => {
    workbench = await startWorkbench(plan, 'dist/plugward.vsix');
    hands = new Hands(workbench, plan);
    preview = hands.webview();
    await hands.page.locator('.statusbar-item', { hasText: 'Repair Plan' }).waitFor();
  });
  afterAll(() => workbench?.stop());

  it('opens beside the text, from the button above it', async () => {
    await hands.press(
      hands.page.locator('.editor-actions [aria-label^="Open preview to the side"]').first(),
      preview.locator('h1', { hasText: 'HL-0148' }),
    );
    expect(await preview.locator('svg.plugward-timeline g.lane').count()).toBeGreaterThan(4);
  });

  it('highlights the step and the lane at the cursor', async () => {
    await hands.goToPlace(lineOf('{ id: op26'), 12);
    await preview.locator('tr.lit .step', { hasText: 'op26' }).waitFor();
    expect(await preview.locator('.picture.wide g.lane.lit title').allTextContents()).toEqual([
      expect.stringContaining('inverter-dc') as string,
    ]);
  });

  it('moves the cursor to the step that is clicked', async () => {
    await hands.press(
      preview.locator('tr', { has: hands.page.locator('.step', { hasText: 'op35' }) }).first(),
      cursor(lineOf('{ id: op35')),
    );
  });

  it('moves the cursor to the first step on the connector of a clicked lane', async () => {
    await hands.press(
      preview
        .locator('g.lane', { hasText: 'curtain-airbag-left' })
        .filter({ visible: true })
        .locator('text')
        .first(),
      cursor(lineOf('{ id: op30')),
    );
  });

  it('follows every edit', async () => {
    await hands.goToPlace(lineOf('plan: HL-0148'), 'plan: HL-0148'.length + 1);
    await hands.page.keyboard.type('9');
    await preview.locator('h1', { hasText: 'HL-01489' }).waitFor();
  });
});
