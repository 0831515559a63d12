import { existsSync, mkdirSync, readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Hands } from './hands.ts';
import { serverPids } from './servers.ts';
import { startWorkbench } from './workbench.ts';
import type { Workbench } from './workbench.ts';

const plan = 'quarter-panel-faulty.repair-plan.yaml';
const list = 'kestrel.connector-list.yaml';

describe('writing in a real workbench', () => {
  let workbench: Workbench;
  let hands: Hands;

  beforeAll(async () => {
    mkdirSync('dist/screenshots', { recursive: true });
    workbench = await startWorkbench(plan, 'dist/plugward.vsix');
    hands = new Hands(workbench, plan);
  });
  afterAll(() => workbench?.stop());

  it('shows the plan total in the status bar', async () => {
    const status = hands.page.locator('.statusbar-item', { hasText: '8 findings' });
    await status.waitFor();
    expect(await status.innerText()).toMatch(/8 findings · [\d.]+ EUR not yet billed/);
  });

  it('completes a partly typed word, with its documentation', async () => {
    await hands.page.keyboard.press('Control+B'); // room for the long lines
    const line = hands
      .onDisk()
      .split('\n')
      .findIndex((each) => each.includes('{ id: op70'));
    await hands.goToPlace(line + 1, 200);
    await hands.page.keyboard.press('Enter');
    await hands.page.keyboard.type('- { id: op75, do: gri');
    const widget = hands.page.locator('.suggest-widget.visible');
    const grind = widget.locator('.monaco-list-row.focused', { hasText: 'grind' });
    await hands.until(grind, async () => {
      if (await widget.isVisible()) return;
      await hands.page.keyboard.press('Control+Space');
    });
    const details = hands.page.locator('.suggest-details-container', { hasText: 'metal debris' });
    if (!(await details.isVisible())) await hands.page.keyboard.press('Control+Space');
    await details.waitFor();
    await hands.shot('completion');
    await hands.page.keyboard.press('Enter');
    await hands.page.locator('.view-line', { hasText: 'id: op75, do: grind' }).first().waitFor();
    await hands.command('File: Revert File');
    await hands.page.locator('.view-line', { hasText: 'op75' }).first().waitFor({ state: 'detached' });
  });

  it('renames a connector in the plan and in the list that defines it, which is not open', async () => {
    await hands.goTo('{ id: op26', 'inverter-dc');
    const box = hands.page.locator('.rename-box input');
    await hands.until(box, () => hands.page.keyboard.press('F2'));
    await box.fill('drive-dc');
    await hands.shot('rename');
    await hands.page.keyboard.press('Enter');
    await hands.page.locator('.view-line', { hasText: '[drive-dc]' }).first().waitFor();
    await hands.shot('renamed');
    await hands.command('File: Save All Files');
    await expect.poll(() => hands.onDisk(list), { timeout: 30_000 }).toMatch(/id: drive-dc\b/);
    await expect.poll(() => hands.onDisk(), { timeout: 30_000 }).toMatch(/cover, connectors: \[drive-dc\]/);
    for (const file of readdirSync(workbench.folder).filter((name) => name.endsWith('.yaml'))) {
      expect(hands.onDisk(file), file).not.toMatch(/inverter-dc\b/);
    }
  });

  it('writes a print to the chosen path and offers to open it; the file is nested under its plan', async () => {
    const name = 'quarter-panel-faulty.job-card.html';
    const file = path.join(workbench.folder, name);
    const dialog = hands.page.locator('.quick-input-titlebar', { hasText: 'Save print: Job card' });
    const saved = hands.page.locator('.notification-toast', { hasText: `Job card saved as ${name}` });
    await hands.until(saved, async () => {
      if (existsSync(file)) return;
      await hands.command('Plugward: Save print…', 'Job card', dialog);
      await hands.shot('print');
      await hands.page.keyboard.press('Enter');
    });
    expect(readFileSync(file, 'utf8')).toMatch(/<title>Job card HL-0148<\/title>[^]*<\/html>\s*$/);
    await saved.locator('.monaco-button', { hasText: 'Open' }).click();
    await hands.page.locator('.tab', { hasText: name }).waitFor();
    // The only one under its parent.
    const nested = hands.page.locator('.explorer-folders-view [aria-setsize="1"]', { hasText: name });
    await hands.until(nested, () => hands.page.keyboard.press('Control+Shift+E'));
    await hands.shot('print-saved');
    await hands.press(hands.page.locator('.tab', { hasText: plan }));
    await hands.page.keyboard.press('Control+B');
  });

  it('loses nothing when its server is killed: the server is restarted, and a message says so', async () => {
    await hands.goTo('plan: HL-0148', '8');
    await hands.page.keyboard.type('77');
    for (const pid of serverPids(workbench.folder)) process.kill(pid, 'SIGKILL');
    await hands.told('was restarted');
    await hands.shot('killed');
    await hands.page.locator('.view-line', { hasText: 'HL-014877' }).first().waitFor();
    // The new server has the text as it stands in the editor, and answers.
    await hands.command('Plugward: Open preview to the side');
    await hands.webview().locator('h1', { hasText: 'HL-014877' }).waitFor();
    await hands.shot('preview');
    expect(serverPids(workbench.folder)).toHaveLength(1);
  });

  it('guides the user to a first plan', async () => {
    await hands.command('File: Save All Files');
    await hands.command('View: Close All Editors');
    await hands.command('Welcome: Open Walkthrough', 'Check a repair plan');
    const steps = hands.page.locator('.getting-started-step');
    await steps.first().waitFor();
    expect(await steps.locator('.step-title').allInnerTexts()).toEqual([
      'Begin with a plan',
      'See what is missing',
      'Ask why',
      'Let it write the missing step',
      'See the heat of a bad contact',
    ]);
    await hands.page.locator('.getting-started-media img').first().waitFor();
    await hands.page.waitForTimeout(500);
    await hands.shot('walkthrough');
    await hands.press(steps.nth(2));
    const explain = steps.nth(2).locator('.monaco-button', { hasText: 'Explain finding' });
    const page = hands.page.locator('.tab', { hasText: 'Preview bare-connector.md' });
    await hands.until(page, async () => {
      if (await page.isVisible()) return;
      await explain.click({ timeout: 5_000 });
      await hands.choose('bare-connector');
    });
  });
});
