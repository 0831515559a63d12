import { existsSync, mkdirSync, readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import type { FrameLocator } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Hands } from './hands.ts';
import { startWorkbench } from './workbench.ts';
import type { Workbench } from './workbench.ts';

const plan = 'story/2-opened.repair-plan.yaml';
const older = 'story/1-before-opening.repair-plan.yaml';

describe('commands that ask for files, in a real workbench', () => {
  let workbench: Workbench;
  let hands: Hands;
  let preview: FrameLocator;

  /**
   * Gives a path to the dialog in front, whose title is `title`.
   * @param listed what that folder holds, and the one shown before does not
   */
  async function give(title: string, name: string, button?: string, listed?: string): Promise<void> {
    const dialog = hands.page.locator('.quick-input-titlebar', { hasText: title });
    await dialog.waitFor();
    const input = hands.page.locator('.quick-input-widget input').first();
    const file = path.join(workbench.folder, name);
    const row = hands.page.locator('.quick-input-list .monaco-list-row', { hasText: listed ?? '' }).first();
    // The dialog fills in a path of its own when it is ready, and lists nothing for one that it is given before.
    for (let tries = 0; tries < 30; tries++) {
      await input.fill(tries % 2 === 0 ? file : path.dirname(file));
      await hands.page.waitForTimeout(700);
      const isThere = listed === undefined || (await row.isVisible());
      if (isThere && (await input.inputValue()) === file) break;
    }
    if (button === undefined) await input.press('Enter');
    else await hands.page.locator('.quick-input-widget .monaco-button', { hasText: button }).click();
    await dialog.waitFor({ state: 'hidden' });
  }

  beforeAll(async () => {
    mkdirSync('dist/screenshots', { recursive: true });
    workbench = await startWorkbench(plan, 'dist/plugward.vsix');
    hands = new Hands(workbench, plan);
    preview = hands.webview();
    await hands.page.locator('.statusbar-item', { hasText: 'nothing left to bill' }).waitFor();
  });
  afterAll(() => workbench?.stop());

  it('compares with another file, which is taken for the older one', async () => {
    const title = hands.page.locator('.quick-input-titlebar', { hasText: 'Compare with which file?' });
    await hands.command('Plugward: Compare with another file…', undefined, title);
    await hands.shot('compare-dialog');
    await give('Compare with which file?', older);
    await preview
      .locator('.since h2', { hasText: 'Changed since 1-before-opening.repair-plan.yaml' })
      .waitFor();
    expect(await preview.locator('.since tr').count()).toBeGreaterThan(3);
    await hands.shot('compare-file');
    // A file that is no plan is refused in words.
    await hands.command('Plugward: Compare with another file…', undefined, title);
    await give('Compare with which file?', 'harbour-lane.rate-sheet.yaml');
    await hands.told('harbour-lane.rate-sheet.yaml cannot be compared');
    await hands.command('Plugward: Stop comparing');
    await preview.locator('.since').waitFor({ state: 'hidden' });
  });

  it('saves every print of a plan, the supplement after asking for the older version', async () => {
    const rows = hands.page.locator('.quick-input-list .monaco-list-row');
    await hands.command('Plugward: Save print…', undefined, rows.filter({ hasText: 'Supplement' }));
    const labels = await Promise.all((await rows.all()).map((row) => row.getAttribute('aria-label')));
    expect(labels.map((label) => label!.split(',')[0])).toEqual([
      'Job card',
      'Estimate',
      'Supplement',
      'Reasons',
      'Not yet billed',
      'Review',
    ]);
    await hands.shot('prints');
    await hands.choose('Supplement');
    await hands.choose('Another file…');
    await give('Compare with which file?', older);
    await hands.page.locator('.quick-input-titlebar', { hasText: 'Save print: Supplement' }).waitFor();
    await hands.shot('save-supplement');
    await hands.page.keyboard.press('Enter');
    await hands.told('Supplement saved as 2-opened.supplement.html');
    const print = readFileSync(path.join(workbench.folder, 'story/2-opened.supplement.html'), 'utf8');
    expect(print).toContain('1-before-opening');
  });

  it('copies the sample repair into a folder of one’s choice, and never over anything', async () => {
    for (const [name, listed] of [
      ['plugward-sample', 'story'],
      ['plugward-sample-2', 'plugward-sample'],
    ] as const) {
      const title = hands.page.locator('.quick-input-titlebar', {
        hasText: 'Where to put the sample repair',
      });
      await hands.command('Plugward: Open a sample repair…', undefined, title);
      await give('Where to put the sample repair', './', 'Copy here', listed);
      const copy = path.join(workbench.folder, name);
      await expect.poll(() => existsSync(copy), { timeout: 20_000 }).toBe(true);
      await hands.page
        .locator('.tab.active[data-resource-name="quarter-panel-faulty.repair-plan.yaml"]')
        .waitFor();
      const files = (folder: string): string[] =>
        readdirSync(folder, { recursive: true, encoding: 'utf8' })
          .filter((file) => /\.(ya?ml|jpg)$/.test(file))
          .sort();
      await expect.poll(() => files(copy), { timeout: 20_000 }).toEqual(files('samples'));
      for (const file of files('samples'))
        expect(readFileSync(path.join(copy, file)).equals(readFileSync(path.join('samples', file)))).toBe(
          true,
        );
    }
    await hands.shot('sample-open');
  });
});
