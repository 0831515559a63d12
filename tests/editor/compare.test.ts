import { execFileSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import type { FrameLocator } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { onPath } from '../support/programs.ts';
import { Hands } from './hands.ts';
import { startWorkbench } from './workbench.ts';
import type { Workbench } from './workbench.ts';

const plan = 'quarter-panel.repair-plan.yaml';

describe.skipIf(!onPath('git'))('comparing in a real workbench', () => {
  let workbench: Workbench;
  let hands: Hands;
  let preview: FrameLocator;

  beforeAll(async () => {
    workbench = await startWorkbench(plan, 'dist/plugward.vsix');
    hands = new Hands(workbench, plan);
    preview = hands.webview();
    const { folder } = workbench;
    const git = (...args: string[]): Buffer =>
      execFileSync('git', ['-c', 'user.name=N', '-c', 'user.email=n@plugward.invalid', ...args], {
        cwd: folder,
        env: { ...process.env, GIT_CONFIG_GLOBAL: '/dev/null', GIT_CONFIG_NOSYSTEM: '1' },
      });
    git('init', '-q');
    git('add', '.');
    git('commit', '-qm', 'first');
    // The other tests run without git.
    mkdirSync(path.join(folder, '.vscode'));
    writeFileSync(path.join(folder, '.vscode/settings.json'), '{ "git.enabled": true }\n');
    await hands.page.locator('.statusbar-item', { hasText: 'Repair Plan' }).waitFor();
  });
  afterAll(() => workbench?.stop());

  it('tells what changed since the last commit; a click leads there', async () => {
    const line = '{ for: op26, task: cover, hours: 0.1';
    await hands.goTo(line, 'hours: 0.1', 'hours: 0.'.length);
    await hands.page.keyboard.press('Delete');
    await hands.page.keyboard.type('3');
    const title = preview.locator('.since h2', { hasText: 'Changed since the last commit' });
    await hands.command('Plugward: Compare with the last commit');
    await title.waitFor();
    const row = preview.locator('.since tr', { hasText: 'hours was 0.1, now 0.3' });
    expect(await row.count()).toBe(1);
    await hands.goToPlace(1, 1);
    const number =
      hands
        .onDisk()
        .split('\n')
        .findIndex((each) => each.includes(line)) + 1;
    await hands.press(row, hands.page.locator('.statusbar-item', { hasText: `Ln ${number},` }));
    await hands.shot('compare');
    await hands.command('Plugward: Stop comparing');
    await title.waitFor({ state: 'hidden' });
  });
});
