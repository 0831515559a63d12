import { mkdirSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Hands } from './hands.ts';
import { startWebWorkbench } from './web-workbench.ts';
import type { Workbench } from './workbench.ts';
import { startWorkbench } from './workbench.ts';

const plan = 'quarter-panel-faulty.repair-plan.yaml';
const vsix = 'dist/plugward.vsix';

/** What the server and the client say in their own words. */
async function speaksSpanish(hands: Hands): Promise<void> {
  await hands.page.locator('.statusbar-item', { hasText: 'sin cobrar' }).waitFor();
  await hands.page.locator('.codelens-decoration', { hasText: 'antes de impuestos' }).waitFor();
  await hands.page.keyboard.press('Control+Shift+M');
  await hands.problems().filter({ hasText: 'Cubra ambas mitades' }).first().waitFor();
  await hands.press(
    hands.page.locator('.editor-actions .codicon-open-preview').first(),
    hands.page.locator('.tab', { hasText: `Vista previa de ${plan}` }),
  );
  const preview = hands.webview();
  await preview.getByText('Sin autorización para trabajar').waitFor();
  expect(await preview.locator('html').getAttribute('lang')).toBe('es');
  expect(await preview.locator('#preview').getAttribute('aria-label')).toBe('Vista previa del plan');
}

describe('the packaged extension in a Spanish workbench', () => {
  let workbench: Workbench;
  let hands: Hands;

  beforeAll(async () => {
    mkdirSync('dist/screenshots', { recursive: true });
    workbench = await startWorkbench(plan, vsix, undefined, 'es');
    hands = new Hands(workbench, plan);
  });
  afterAll(() => workbench?.stop());

  it('is in Spanish', () => speaksSpanish(hands));

  it('has Spanish names for its commands and its languages', async () => {
    await hands.page.locator('.statusbar-item', { hasText: 'Plan de reparación' }).waitFor();
    await hands.command('Plugward: Reiniciar el servidor de lenguaje');
  });

  it('explains a finding on a page in Spanish', async () => {
    await hands.press(
      hands.problems().filter({ hasText: 'half-covered' }).locator('a', { hasText: 'half-covered' }),
      hands.page.locator('.tab', { hasText: 'half-covered.md' }),
    );
    await hands.page
      .frameLocator('iframe.webview.ready >> nth=-1')
      .frameLocator('#active-frame')
      .getByText('Por qué importa.')
      .waitFor();
    await hands.shot('spanish-page');
  });
});

it('the same extension is in Spanish in a browser workbench', async () => {
  const workbench = await startWebWorkbench(plan, vsix, 'es');
  try {
    const hands = new Hands(workbench, plan);
    await speaksSpanish(hands);
    await hands.shot('spanish-preview');
  } finally {
    await workbench.stop();
  }
});
