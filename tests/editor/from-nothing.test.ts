import { mkdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Hands } from './hands.ts';
import { startWorkbench } from './workbench.ts';
import type { Workbench } from './workbench.ts';

const connectors = ['lamp', 'horn', 'wiper', 'heater', 'washer'];

/** Invented shop, car and figures. A person who has an empty folder and this extension, and no mouse. */
describe('from an empty folder', () => {
  let workbench: Workbench;
  let hands: Hands;
  /** How many keys were pressed; a chord counts as one. */
  let keys = 0;

  const press = async (...chords: string[]): Promise<void> => {
    for (const chord of chords) {
      keys++;
      await hands.page.keyboard.press(chord);
      await hands.page.waitForTimeout(60);
    }
  };
  const type = async (text: string): Promise<void> => {
    keys += text.length;
    await hands.page.keyboard.type(text, { delay: 25 });
  };
  /** Waits until `label` is what Tab would take, and takes it. */
  const take = async (label: string): Promise<void> => {
    const row = hands.page.locator('.suggest-widget.visible .monaco-list-row.focused', { hasText: label });
    // A list that did not open by itself is asked for.
    await row
      .first()
      .waitFor({ timeout: 10_000 })
      .catch(() => press('Control+Space'));
    await row.first().waitFor({ timeout: 15_000 });
    await press('Tab');
    await hands.page.waitForTimeout(250);
  };
  const begin = async (kind: string, name: string, section: string): Promise<void> => {
    const input = hands.page.locator('.quick-input-widget input');
    await press('F1');
    await input.waitFor();
    await type('plug new');
    await hands.page.locator('.quick-input-list .focused', { hasText: 'Plugward: New…' }).waitFor();
    await press('Enter');
    const rows = hands.page.locator('.quick-input-list .monaco-list-row');
    await rows.filter({ hasText: 'Rate Sheet' }).waitFor();
    if (kind === 'rate') await hands.shot('new-kind');
    await type(kind);
    await press('Enter');
    await hands.page.locator('.quick-input-title', { hasText: 'New file:' }).waitFor();
    await type(name);
    await hands.page.waitForTimeout(300);
    if (kind === 'rate') await hands.shot('new-name');
    await press('Enter');
    await hands.page.locator('.view-line', { hasText: section }).first().waitFor();
    await hands.page.waitForTimeout(700);
  };
  const onDisk = (name: string): string => readFileSync(path.join(workbench.folder, name), 'utf8');
  const save = async (name: string): Promise<void> => {
    await press('Control+s');
    await expect.poll(() => onDisk(name).length, { timeout: 20_000 }).toBeGreaterThan(0);
  };

  beforeAll(async () => {
    mkdirSync('dist/screenshots', { recursive: true });
    workbench = await startWorkbench(undefined, 'dist/plugward.vsix');
    hands = new Hands(workbench, '');
    await hands.page.locator('.explorer-folders-view').waitFor();
    // A new page knows the extension's commands after a while.
    const command = hands.page.locator('.quick-input-list .focused', { hasText: 'Plugward: New…' });
    await hands.until(command, async () => {
      await hands.page.keyboard.press('Escape');
      await hands.page.keyboard.press('F1');
      await hands.page.locator('.quick-input-widget input').fill('>Plugward: New', { timeout: 5_000 });
    });
    await hands.page.keyboard.press('Escape');
  });
  afterAll(async () => {
    await hands?.shot('from-nothing-end');
    await workbench?.stop();
  });

  it('a rate sheet', async () => {
    await begin('rate', 'mill', 'rates:');
    await hands.shot('new-rate-sheet');
    expect(await hands.page.locator('.squiggly-error').count()).toBe(0);
    await type('Mill');
    await press('Tab', 'Tab');
    await press('Control+Space');
    await take('{ id, per-hour }');
    await type('body');
    await press('Tab');
    await type("'80'");
    await press('End', 'Enter', 'Shift+Tab');
    await type('cons');
    await take('consumables');
    await take('{ id, kind }');
    await type('plug');
    await press('Tab');
    await type('du');
    await take('dummy-plug');
    await save('mill.rate-sheet.yaml');
  });

  it('a connector list', async () => {
    await begin('conn', 'wren', 'connectors:');
    await type('Wren');
    await press('Tab');
    for (const [i, name] of connectors.entries()) {
      if (i > 0) await press('End', 'Enter');
      await press('Control+Space');
      await take('{ id, class, zone');
      await type(name);
      await press('Tab');
      await type('sen');
      await take('sensor');
      await press('Tab');
      await type('q');
      await take('quarter-left');
    }
    await save('wren.connector-list.yaml');
  });

  it('a plan of sixty lines in which nothing is left to find', async () => {
    const step = (): Promise<void> => press('End', 'Enter', 'Control+Space');
    await begin('rep', 'W-1', 'operations:');
    await hands.shot('new-plan');
    expect(await hands.page.locator('.squiggly-error').count()).toBe(0);
    await type('Rub down');
    await press('Tab');
    await type('Wren');
    await press('Tab', 'Tab', 'Control+Space');
    for (const [i, name] of connectors.entries()) {
      if (i > 0) await step();
      await type(`open ${name.slice(0, 2)}`);
      if (i === 0) await hands.shot('new-steps');
      await take(`open ${name}`);
    }
    await step();
    await type('opera');
    await take('{ id, do }');
    await type('san');
    await take('sand');
    await type(', z');
    await take('zone');
    await type('q');
    await take('quarter-left');
    for (const name of connectors) {
      await step();
      await type(`close ${name.slice(0, 2)}`);
      await take(`close ${name}`);
    }
    await step();
    await type('opera');
    await take('{ id, do }');
    await type('scan');
    await take('scan');
    await save('w-1.repair-plan.yaml');
    await hands.shot('steps-typed');
    // What the steps owe, by name and at once.
    const fixes = hands.page.locator('.action-widget .monaco-list-row');
    await press('Control+.');
    await fixes.first().waitFor();
    await press('ArrowUp');
    await hands.shot('fix-everything');
    const all = fixes.and(hands.page.locator('.focused'));
    expect(await all.innerText()).toBe('Fix all that has a fix in the plan, adding missing steps and lines');
    await press('Enter');
    // The change is shown first; what is ticked is applied.
    const apply = hands.page.getByRole('button', { name: 'Apply', exact: true });
    await apply.waitFor();
    await hands.press(hands.page.locator('.edit-checkbox').first());
    await hands.press(apply);
    await apply.waitFor({ state: 'hidden' });
    await press('Control+1');
    await hands.page.locator('.statusbar-item', { hasText: '26 findings' }).waitFor({ state: 'detached' });
    // The hours are the shop's own: here all the same, and invented.
    await press('Control+f');
    await type('fill-in');
    await hands.page.locator('.find-widget .matchesCount', { hasText: 'of 31' }).waitFor({ timeout: 15_000 });
    await hands.page.waitForTimeout(500);
    await press('Alt+Enter');
    await hands.page.waitForTimeout(300);
    await type('0.2');
    const clean = hands.page.locator('.statusbar-item', { hasText: 'no findings' });
    await clean.waitFor({ timeout: 20_000 });
    expect(await clean.innerText()).not.toContain('not fully checked');
    await press('Control+s');
    await expect.poll(() => onDisk('w-1.repair-plan.yaml'), { timeout: 20_000 }).toMatch(/hours: 0\.2/);
    await hands.shot('whole-plan');
    const text = onDisk('w-1.repair-plan.yaml');
    expect(text).not.toContain('fill-in');
    const lines = text.trimEnd().split('\n').length;
    console.log(`${keys} keys for a plan of ${lines} lines, its rate sheet and its connector list`);
    expect(lines).toBeGreaterThanOrEqual(60);
    expect(keys).toBeLessThan(400);
    expect(await hands.page.locator('.squiggly-error, .squiggly-warning').count()).toBe(0);
  });
});
