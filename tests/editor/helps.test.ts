import { mkdirSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Hands } from './hands.ts';
import { startWorkbench } from './workbench.ts';
import type { Workbench } from './workbench.ts';

const plan = 'quarter-panel-faulty.repair-plan.yaml';

describe('help where one looks, in a real workbench', () => {
  let workbench: Workbench;
  let hands: Hands;

  beforeAll(async () => {
    mkdirSync('dist/screenshots', { recursive: true });
    const shown = { 'workbench.activityBar.location': 'default' };
    workbench = await startWorkbench(plan, 'dist/plugward.vsix', undefined, undefined, shown);
    hands = new Hands(workbench, plan);
    await hands.page.locator('.statusbar-item', { hasText: '8 findings' }).waitFor();
  });
  afterAll(() => workbench?.stop());

  it('checks the whole folder, and says what it found', async () => {
    await hands.command('Plugward: Check the whole folder');
    await hands.told('Files checked: ');
    await hands.problems().filter({ hasText: 'bare-connector' }).first().waitFor();
    await hands.shot('check-folder');
  });

  it('lists the plans of the folder, worst first, with their number on its icon', async () => {
    const rows = hands.page.locator('.sidebar .customview-tree .monaco-list-row');
    const icon = hands.page.locator('.activitybar .action-item', {
      has: hands.page.locator('.codicon-plug'),
    });
    // One plan of the samples has serious findings.
    await icon.locator('.badge-content', { hasText: /^1$/ }).waitFor();
    await hands.press(icon, rows.first());
    expect(await rows.first().innerText()).toContain('HL-0148');
    await rows.first().getByText('not released for work').waitFor();
    await hands.shot('plans');
    const other = hands.page.locator('.tab.active', { hasNotText: plan });
    await hands.press(rows.nth(1), other);
    await hands.press(rows.first(), hands.page.locator('.tab.active', { hasText: plan }));
    await hands.page.keyboard.press('Control+b');
  });

  it('accepts a finding once a reason, a person and a day are given', async () => {
    await hands.goTo('{ id: op26', 'orange-tape');
    const accept = hands.page.locator('.action-widget .monaco-list-row', {
      hasText: 'Accept weak-cover at op26',
    });
    await hands.until(accept, () => hands.page.keyboard.press('Control+.'));
    await hands.shot('accept');
    const chosen = accept.and(hands.page.locator('.focused'));
    for (let i = 0; i < 8 && (await chosen.count()) === 0; i++) await hands.page.keyboard.press('ArrowDown');
    await hands.page.keyboard.press('Enter');
    // To be filled in: until then the finding stands.
    await hands.page.locator('.view-line', { hasText: 'finding: weak-cover, at: op26' }).waitFor();
    await hands.page.locator('.statusbar-item', { hasText: '8 findings' }).waitFor();
    // An acceptance of more than a year is a finding of its own.
    const until = new Date(Date.now() + 30 * 86_400_000).toISOString().slice(0, 10);
    for (const [i, words] of ['Agreed on the phone', 'Lead technician', until].entries()) {
      if (i > 0) await hands.page.keyboard.press('Tab');
      await hands.page.keyboard.type(words, { delay: 25 });
    }
    await hands.page.locator('.statusbar-item', { hasText: '7 findings' }).waitFor();
    await hands.shot('accepted');
    await hands.save();
    await expect
      .poll(() => hands.onDisk(), { timeout: 30_000 })
      .toContain(
        `- { finding: weak-cover, at: op26, reason: "Agreed on the phone", by: "Lead technician", until: ${until} }`,
      );
  });
});
