import { mkdirSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Hands } from './hands.ts';
import { startWorkbench } from './workbench.ts';
import type { Workbench } from './workbench.ts';

const plan = 'quarter-panel-faulty.repair-plan.yaml';

const said = {
  en: {
    accept: 'Accept weak-cover at op26…',
    checkFolder: 'Plugward: Check the whole folder',
    checked: 'Files checked: ',
    plansView: 'Plugward: Focus on Plans View',
    notReleased: 'not released for work',
  },
  es: {
    accept: 'Aceptar weak-cover en op26…',
    checkFolder: 'Plugward: Comprobar toda la carpeta',
    checked: 'Archivos comprobados: ',
    plansView: 'Plugward: Focus on Planes View',
    notReleased: 'sin autorización para trabajar',
  },
} as const;

describe.each(['en', 'es'] as const)('help where one looks, in %s', (language) => {
  const words = said[language];
  let workbench: Workbench;
  let hands: Hands;

  beforeAll(async () => {
    mkdirSync('dist/screenshots', { recursive: true });
    const other = language === 'en' ? undefined : language;
    // The bar that the other tests hide carries the badge.
    const more = { 'workbench.activityBar.location': 'default' };
    workbench = await startWorkbench(plan, 'dist/plugward.vsix', undefined, other, more);
    hands = new Hands(workbench, plan);
    await hands.page.locator('.statusbar-item', { hasText: 'EUR' }).waitFor();
  });
  afterAll(() => workbench?.stop());

  it('the whole folder is checked by a command, which says what it found', async () => {
    await hands.command(words.checkFolder);
    await hands.told(words.checked);
    await hands.problems().filter({ hasText: 'bare-connector' }).first().waitFor();
  });

  it('the view of plans has the worst first, and leads to it', async () => {
    await hands.command(words.plansView);
    const rows = hands.page.locator('.sidebar .monaco-list-row');
    await rows.first().getByText(words.notReleased).waitFor({ timeout: 60_000 });
    expect(await rows.first().innerText()).toContain('HL-0148');
    await hands.shot(`plans-${language}`);
    // One plan of the samples has serious findings.
    await hands.page
      .locator('.activitybar .badge-content', { hasText: '1' })
      .first()
      .waitFor({ timeout: 30_000 });
    await rows.nth(1).click();
    await hands.page.locator('.tab.active', { hasText: '.repair-plan.yaml' }).waitFor();
    await hands.press(rows.first(), hands.page.locator('.tab.active', { hasText: plan }));
    await hands.page.keyboard.press('Control+B');
  });

  it('accepting a finding asks for reason, person and day', async () => {
    await hands.goTo('{ id: op26', 'orange-tape');
    const accept = hands.page.locator('.action-widget .monaco-list-row', { hasText: words.accept });
    await hands.until(accept, () => hands.page.keyboard.press('Control+.'));
    await hands.shot(`accept-${language}`);
    await accept.click();
    await hands.page.keyboard.type('Agreed on the phone');
    await hands.page.keyboard.press('Tab');
    await hands.page.keyboard.type('Lead technician');
    await hands.page.keyboard.press('Tab');
    await hands.page.keyboard.type('2099-03-01');
    await hands.page.keyboard.press('Escape');
    await hands.problems().filter({ hasText: 'weak-cover' }).waitFor({ state: 'detached' });
    await hands.save();
    await expect
      .poll(() => hands.onDisk(), { timeout: 30_000 })
      .toContain(
        '- { finding: weak-cover, at: op26, reason: "Agreed on the phone", by: "Lead technician", until: 2099-03-01 }',
      );
    await hands.shot(`accepted-${language}`);
  });
});
