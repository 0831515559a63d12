import { mkdirSync } from 'node:fs';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { Hands } from './hands.ts';
import { startWorkbench } from './workbench.ts';
import type { Workbench } from './workbench.ts';

let workbench: Workbench;

beforeAll(async () => {
  mkdirSync('dist/screenshots', { recursive: true });
  workbench = await startWorkbench('quarter-panel.repair-plan.yaml', 'dist/plugward.vsix');
});
afterAll(() => workbench?.stop());

it("the extension's page shows its pictures", async () => {
  const hands = new Hands(workbench, 'quarter-panel.repair-plan.yaml');
  const listed = hands.page.locator('.extension-list-item', { hasText: 'Plugward' }).first();
  await hands.command('View: Show Extensions', undefined, listed);
  await hands.press(listed, hands.page.locator('.extension-editor .name', { hasText: 'Plugward' }));
  const pictures = hands.webview().locator('img');
  await pictures.first().waitFor();
  const widths = await pictures.evaluateAll((all) =>
    Promise.all(
      all.map(async (one) => {
        const picture = one as unknown as { decode(): Promise<void>; readonly naturalWidth: number };
        await picture.decode().catch(() => undefined);
        return picture.naturalWidth;
      }),
    ),
  );
  expect(widths).toHaveLength(3);
  for (const width of widths) expect(width).toBeGreaterThan(0);
  await pictures.first().scrollIntoViewIfNeeded();
  await hands.shot('extension-page');
});
