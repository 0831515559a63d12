import { mkdirSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Hands } from './hands.ts';
import { startWorkbench } from './workbench.ts';
import type { Workbench } from './workbench.ts';

const plan = 'quarter-panel-faulty.repair-plan.yaml';

describe('the packaged extension in a real workbench', () => {
  let workbench: Workbench;
  let hands: Hands;

  beforeAll(async () => {
    mkdirSync('dist/screenshots', { recursive: true });
    workbench = await startWorkbench(plan, 'dist/plugward.vsix');
    hands = new Hands(workbench, plan);
  });
  afterAll(() => workbench?.stop());

  it('underlines what is missing from the plan', async () => {
    await hands.goTo('{ id: op30', 'op30');
    await hands.page.locator('.squiggly-error').first().waitFor();
    await hands.page.locator('.squiggly-warning').first().waitFor();
    expect(await hands.page.locator('.statusbar-item', { hasText: 'Repair Plan' }).count()).toBe(1);
    await hands.page.keyboard.press('Control+B'); // room for the long lines
  });

  it('lists every finding with its related locations', async () => {
    await hands.page.keyboard.press('Control+Shift+M');
    const bare = hands.problems().filter({ hasText: 'bare-connector' });
    await bare.waitFor();
    expect(await bare.innerText()).toMatch(/hv-interlock.*op20/);
    expect(await hands.problems().filter({ hasText: 'half-covered' }).count()).toBe(1);
    await hands.goTo('{ id: op35', 'curtain-airbag-left');
    await hands.shot('problems');
  });

  it('shows the heat of a connector on hover', async () => {
    await hands.page.keyboard.press('Control+J'); // room for the table
    await hands.goTo('{ id: op50', 'op50');
    await hands.goTo('{ id: op20', 'inverter-dc');
    // Its list allows 0.5 mΩ, and it carries 180 A: P = I²R is 16.2 W (OpenStax College Physics, Electric Power).
    const hover = hands.page.locator('.monaco-hover:visible', { hasText: '16.2 W' });
    await hands.until(hover, () => hands.pointAtCursor());
    await hands.shot('heat');
    await hands.page.keyboard.press('Escape');
    await hands.page.keyboard.press('Control+J');
  });

  it('offers the missing step, shows it before it is written; applying it removes the finding', async () => {
    await hands.goTo('{ id: op20', 'hv-interlock');
    const fix = hands.page.locator('.action-widget .monaco-list-row.focused', {
      hasText: 'Cover hv-interlock right after op20',
    });
    await hands.until(fix, () => hands.page.keyboard.press('Control+.'));
    await hands.shot('fix');
    // The plan is as it was until the change has been looked at.
    const apply = hands.page.getByRole('button', { name: 'Apply', exact: true });
    await hands.page.keyboard.press('Enter');
    await apply.waitFor();
    await hands.shot('asked');
    // Nothing is ticked beforehand.
    await hands.press(hands.page.locator('.edit-checkbox').first());
    await hands.press(apply);
    await apply.waitFor({ state: 'hidden' });
    await hands.page.keyboard.press('Control+Shift+M');
    await hands.problems().filter({ hasText: 'half-covered' }).waitFor();
    await hands.problems().filter({ hasText: 'bare-connector' }).waitFor({ state: 'detached' });
    await hands.shot('fixed');
  });

  it('saves the plan with the new step and nothing else changed', async () => {
    const before = hands.onDisk().split('\n');
    await hands.save();
    // The editor empties the file before it writes it.
    await expect
      .poll(() => hands.onDisk().length, { timeout: 30_000 })
      .toBeGreaterThan(before.join('\n').length);
    const after = hands.onDisk().split('\n');
    const step = after.find((line) => !before.includes(line) && line.includes('do: cover'));
    expect(step).toMatch(/connectors: \[hv-interlock\].*halves: both/);
    expect(after.indexOf(step!)).toBe(after.findIndex((line) => line.includes('{ id: op20')) + 1);
    expect(after.filter((line) => before.includes(line))).toEqual(before);
  });

  it('keeps working after a server restart', async () => {
    await hands.command('Plugward: Restart language server');
    await hands.page.keyboard.press('Control+Z');
    await hands.problems().filter({ hasText: 'bare-connector' }).waitFor();
    // Only a server that ended by itself is spoken of, and no question that came in between.
    expect(await hands.page.locator('.notification-toast', { hasText: 'Plugward' }).allInnerTexts()).toEqual(
      [],
    );
  });

  it('explains a finding on its page', async () => {
    await hands.press(
      hands.problems().filter({ hasText: 'half-covered' }).locator('a', { hasText: 'half-covered' }),
      hands.page.locator('.tab', { hasText: 'Preview half-covered.md' }),
    );
    await hands.webview().getByText('Why it matters.').waitFor();
    await hands.shot('page');
  });
});
