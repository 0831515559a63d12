import { mkdirSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Hands } from './hands.ts';
import { startWebWorkbench } from './web-workbench.ts';
import type { Workbench } from './workbench.ts';

const plan = 'quarter-panel-faulty.repair-plan.yaml';

describe('the packed extension in a workbench that is set to Spanish', () => {
  let workbench: Workbench;
  let hands: Hands;

  beforeAll(async () => {
    mkdirSync('dist/screenshots', { recursive: true });
    workbench = await startWebWorkbench(plan, 'dist/plugward.vsix', 'es');
    hands = new Hands(workbench, plan);
  });
  afterAll(() => workbench?.stop());

  it('says lenses, the state of the file and findings in Spanish', async () => {
    await hands.page.locator('.statusbar-item', { hasText: 'en juego' }).waitFor();
    await hands.page.locator('.codelens-decoration', { hasText: 'antes de impuestos' }).waitFor();
    await hands.page.keyboard.press('Control+Shift+M');
    await hands.problems().filter({ hasText: 'Cubra ambas mitades' }).first().waitFor();
  });

  it('names and shows the preview in Spanish', async () => {
    await hands.press(hands.page.locator('.editor-actions .codicon-open-preview').first());
    await hands.page.locator('.tab', { hasText: `Vista previa de ${plan}` }).waitFor();
    const preview = hands.webview();
    await preview.getByText('No autorizado para trabajar').waitFor();
    expect(await preview.locator('html').getAttribute('lang')).toBe('es');
    expect(await preview.locator('#preview').getAttribute('aria-label')).toBe('Vista previa del plan');
    await hands.shot('spanish-preview');
  });
});
