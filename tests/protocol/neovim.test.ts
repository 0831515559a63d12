import { spawnSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { expect, it } from 'vitest';
import { onPath } from '../support/programs.ts';
import { faultyPlan, temporaryFolder } from './folder.ts';

it.skipIf(!onPath('nvim'))(
  "Neovim's own client shows findings and a hover, applies a fix and a new name",
  () => {
    const folder = temporaryFolder();
    const plan = path.join(folder, 'lamp.repair-plan.yaml');
    writeFileSync(plan, faultyPlan);
    const home = path.join(folder, 'home');
    mkdirSync(home);
    const script = path.resolve(import.meta.dirname, 'neovim.lua');
    const args = ['--headless', '-u', 'NONE', '-i', 'NONE', '-n', '-c', `luafile ${script}`, '-c', 'qall!'];
    const run = spawnSync('nvim', args, {
      encoding: 'utf8',
      timeout: 120_000,
      env: {
        ...process.env,
        HOME: home,
        XDG_CONFIG_HOME: home,
        XDG_DATA_HOME: home,
        XDG_CACHE_HOME: home,
        XDG_STATE_HOME: home,
        PLUGWARD_PLAN: plan,
        PLUGWARD_NODE: process.execPath,
        PLUGWARD_SERVER: path.resolve('dist/server.js'),
      },
    });
    const line = /REPORT (.*)/.exec(run.stdout + run.stderr)?.[1];
    expect(line, run.stdout + run.stderr).toBeDefined();
    const report = JSON.parse(line!) as Record<string, unknown>;
    expect(report).toMatchObject({
      finding: { line: 6, message: expect.stringContaining('lamp') as string },
      hover: expect.stringContaining('lamp') as string,
      fix: 'Cover lamp right after op10',
      fixed: true,
    });
    expect(report).not.toHaveProperty('rename_failed');
    expect(report['text']).toContain('- { id: tail-lamp, class: low-voltage, zone: quarter-left }');
    expect(report['text']).toContain('do: disconnect, connectors: [tail-lamp]');
    expect(report['text']).toContain('do: cover, connectors: [tail-lamp]');
    expect(report['text']).not.toMatch(/[^-]lamp[\],]/);
  },
);
