import { existsSync } from 'node:fs';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Hands } from './hands.ts';
import { childPids, serverPids } from './servers.ts';
import { startWorkbench } from './workbench.ts';
import type { Workbench } from './workbench.ts';

const plan = 'quarter-panel-faulty.repair-plan.yaml';

/** Leaves a mark in the folder if it is ever run. */
const bait = `require('node:fs').writeFileSync(require('node:path').join(__dirname, 'executed'), '');`;
const foreign = {
  '.vscode/settings.json': JSON.stringify({ 'plugward.severities': { 'bare-connector': 'off' } }),
  'node_modules/yaml/index.js': bait,
  'node_modules/vscode-languageserver/node.js': bait,
  'plugward.config.js': bait,
  'index.js': bait,
};

describe('an untrusted folder', () => {
  let workbench: Workbench;
  let hands: Hands;

  beforeAll(async () => {
    workbench = await startWorkbench(plan, 'dist/plugward.vsix', foreign);
    hands = new Hands(workbench, plan);
  });
  afterAll(() => workbench?.stop());

  it("is checked all the same, by nobody else's rules, and nothing in it is run", async () => {
    await hands.page.locator('.statusbar-item', { hasText: 'Restricted Mode' }).waitFor();
    await hands.goTo('{ id: op30', 'op30');
    await hands.page.keyboard.press('Control+B'); // room for the long lines
    await hands.page.keyboard.press('Control+Shift+M');
    await hands.problems().filter({ hasText: 'bare-connector' }).waitFor();
    await hands.shot('untrusted');
    expect(serverPids(workbench.folder).flatMap(childPids)).toEqual([]);
    for (const name of Object.keys(foreign)) {
      const mark = path.join(workbench.folder, path.dirname(name), 'executed');
      expect(existsSync(mark), name).toBe(false);
    }
  });

  it('may switch a finding off once trusted', async () => {
    const trust = hands.page.locator('.workspace-trust-editor .monaco-button', { hasText: /^Trust$/ });
    await hands.until(trust, () => hands.command('Workspaces: Manage Workspace Trust'));
    await hands.press(trust);
    await hands.problems().filter({ hasText: 'half-covered' }).waitFor();
    await hands.problems().filter({ hasText: 'bare-connector' }).waitFor({ state: 'detached' });
  });
});
