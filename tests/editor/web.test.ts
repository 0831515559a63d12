import { existsSync, mkdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Hands } from './hands.ts';
import { startWebWorkbench } from './web-workbench.ts';
import type { Workbench } from './workbench.ts';

const plan = 'quarter-panel-faulty.repair-plan.yaml';

describe('the packaged extension in a browser workbench, with its server in a worker', () => {
  let workbench: Workbench;
  let hands: Hands;

  beforeAll(async () => {
    mkdirSync('dist/screenshots', { recursive: true });
    workbench = await startWebWorkbench(plan, 'dist/plugward.vsix');
    hands = new Hands(workbench, plan);
  });
  afterAll(() => workbench?.stop());

  it('reports what is missing from the plan, and from a file that is not open', async () => {
    await hands.goTo('{ id: op30', 'op30');
    await hands.page.locator('.squiggly-error').first().waitFor();
    await hands.page.keyboard.press('Control+B'); // room for the long lines
    await hands.page.keyboard.press('Control+Shift+M');
    await hands.problems().filter({ hasText: 'bare-connector' }).waitFor();
    // The plan's eight, the one and the six of plans that are not open, and the one of the stranger below.
    await hands.page.locator('.panel .badge-content', { hasText: /^16$/ }).waitFor();
    await hands.shot('web-problems');
  });

  it('is ignored by a YAML extension, which still checks a YAML document of its own', async () => {
    const filter = hands.page.locator('.panel .viewpane-filter input');
    const strange = hands.problems().filter({ hasText: 'Said by a stranger.' });
    await hands.until(strange, () => filter.fill('stranger'));
    expect(await hands.problems().allInnerTexts()).toEqual([
      expect.stringContaining('Untitled-1'),
      expect.stringContaining('Said by a stranger.'),
    ]);
    await hands.shot('web-stranger');
    await hands.until(hands.problems().filter({ hasText: 'bare-connector' }), () => filter.fill(''));
    expect(await hands.page.locator('.statusbar-item', { hasText: 'Repair Plan' }).count()).toBe(1);
  });

  it('shows the heat of a connector of another file on hover', async () => {
    await hands.page.keyboard.press('Control+J'); // room for the table
    await hands.goTo('{ id: op50', 'op50');
    await hands.goTo('{ id: op20', 'inverter-dc');
    // Its list allows 0.5 mΩ, and it carries 180 A: P = I²R is 16.2 W (OpenStax College Physics, Electric Power).
    const hover = hands.page.locator('.monaco-hover:visible', { hasText: '16.2 W' });
    await hands.until(hover, () => hands.pointAtCursor());
    await hands.shot('web-hover');
    await hands.page.keyboard.press('Escape');
    await hands.page.keyboard.press('Control+J');
  });

  it('offers the missing step; accepting it removes the finding, and the file is saved', async () => {
    const before = hands.onDisk();
    await hands.goTo('{ id: op20', 'hv-interlock');
    const fix = hands.page.locator('.action-widget .monaco-list-row.focused', {
      hasText: 'Cover hv-interlock right after op20',
    });
    await hands.until(fix, () => hands.page.keyboard.press('Control+.'));
    await hands.shot('web-fix');
    await hands.page.keyboard.press('Enter');
    const apply = hands.page.getByRole('button', { name: 'Apply', exact: true });
    await apply.waitFor();
    await hands.press(hands.page.locator('.edit-checkbox').first());
    await hands.press(apply);
    await apply.waitFor({ state: 'hidden' });
    await hands.page.keyboard.press('Control+Shift+M');
    await hands.problems().filter({ hasText: 'half-covered' }).waitFor();
    await hands.problems().filter({ hasText: 'bare-connector' }).waitFor({ state: 'detached' });
    await hands.save();
    await expect.poll(() => hands.onDisk().length, { timeout: 30_000 }).toBeGreaterThan(before.length);
    expect(hands.onDisk()).toMatch(/do: cover, connectors: \[hv-interlock\]/);
  });

  it('saves the estimate with the photographs that the editor reads for it', async () => {
    const name = 'quarter-panel-faulty.estimate.html';
    const file = path.join(workbench.folder, name);
    const dialog = hands.page.locator('.quick-input-titlebar', { hasText: 'Save print: Estimate' });
    const saved = hands.page.locator('.notification-toast', { hasText: `Estimate saved as ${name}` });
    await hands.until(saved, async () => {
      if (existsSync(file)) return;
      await hands.command('Plugward: Save print…', 'Estimate', dialog);
      await hands.page.keyboard.press('Enter');
    });
    await hands.shot('web-print');
    expect(readFileSync(file, 'utf8').match(/src="data:image\/jpeg/g)).toHaveLength(6);
  });

  it('shows the preview of the plan', async () => {
    await hands.page.keyboard.press('Control+J');
    await hands.command('Plugward: Open preview to the side');
    await hands.webview().locator('h1', { hasText: 'HL-0148' }).waitFor();
    await hands.webview().locator('svg.plugward-timeline g.lane').filter({ visible: true }).first().waitFor();
    await hands.shot('web-preview');
  });

  it('keeps working after a server restart', async () => {
    await hands.command('Plugward: Restart language server');
    await hands.goTo('plan: HL-0148', 'plan');
    await hands.page.keyboard.press('Control+Z');
    await hands.page.keyboard.press('Control+Shift+M');
    await hands.problems().filter({ hasText: 'bare-connector' }).waitFor();
  });
});
