import { spawn, spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { Client } from '@modelcontextprotocol/sdk/client/index.js';
import { StdioClientTransport } from '@modelcontextprotocol/sdk/client/stdio.js';
import { afterAll, afterEach, beforeEach, describe, expect, test } from 'vitest';
import { cli, folderWith, plugward, removeFolders } from '../cli/run.ts';
import { fileUri } from '../protocol/client.ts';
import { startClient } from '../protocol/folder.ts';
import { root, samples, samplesFolder } from '../support/files.ts';

const preload = path.join(root, 'tests/hardening/offline.cjs');
const folder = folderWith({});
const log = path.join(folder, 'reached-out');
const env = { NODE_OPTIONS: `--require ${preload}`, PLUGWARD_OFFLINE: log };

afterAll(removeFolders);

/** A plan that names every kind of address. */
const tempting = `plan: T-1
title: https://a.invalid/
vehicle: { description: Kestrel (invented), propulsion: hybrid }
uses: [https://a.invalid/x.rate-sheet.yaml, //a.invalid/y.rate-sheet.yaml, 'file://a.invalid/z.connector-list.yaml']
sources: [{ id: S1, title: T, publisher: shop, where: https://a.invalid/ }]
connectors: [{ id: lamp, class: low-voltage, zone: quarter-left, source: S1 }]
operations:
  - { id: op10, do: disconnect, connectors: [lamp] }
evidence: [{ for: op10, photo: https://a.invalid/a.jpg }]
`;

test('the guard blocks network access, subprocesses and code made from text', () => {
  for (const attempt of [
    "fetch('http://127.0.0.1:9')",
    "require('net').connect(9)",
    "require('node:https').get('https://127.0.0.1:9')",
    "require('dgram').createSocket('udp4')",
    "require('dns').lookup('a.invalid', () => {})",
    "require('child_process').execSync('true')",
    "eval('1')",
    "Function('return 1')()",
    "new Function('return 1')()",
    '(() => {}).constructor("return 1")()',
  ]) {
    const ran = spawnSync(process.execPath, ['--require', preload, '-e', attempt], {
      env: { ...process.env, PLUGWARD_OFFLINE: path.join(folder, 'control') },
    });
    expect([attempt, ran.status]).not.toEqual([attempt, 0]);
    expect(ran.stderr.toString()).toContain('is not allowed here');
  }
});

describe('no network access, and no code made from text', () => {
  const before = { ...process.env };
  beforeEach(() => void Object.assign(process.env, env));
  afterEach(() => {
    process.env = { ...before };
    expect(existsSync(log) ? readFileSync(log, 'utf8') : '').toBe('');
  });

  const plan = 'quarter-panel-faulty.repair-plan.yaml';
  test.each([
    ['check', '.'],
    ['check', '.', '--format', 'sarif', '--statistics'],
    ['check', '.', '--format', 'json'],
    ['check', '.', '--format', 'annotations'],
    ['fix', '.', '--unsafe-fixes', '--diff'],
    ['explain', 'bare-connector'],
    ['report', 'job-card', plan],
    ['report', 'estimate', plan, '--format', 'csv'],
    ['report', 'review', '.'],
    ['report', 'supplement', plan, 'quarter-panel.repair-plan.yaml'],
    ['compare', plan, 'quarter-panel.repair-plan.yaml'],
    ['check', '.', '--shard', '1/2'],
    ['check', '.', '--jobs', '2', '--format', 'human', '--format', 'junit', '-o', 'b.xml'],
    ['heat', plan],
    ['tasks'],
    ['completion', 'bash'],
  ])('plugward %s %s %s %s', (...args) => {
    const cwd = folderWith({ ...samples(), 'tempting.repair-plan.yaml': tempting });
    const ran = plugward(cwd, args, { env });
    expect([0, 1]).toContain(ran.code);
    expect(ran.out.length).toBeGreaterThan(200);
  });

  test('the parts of a run, put together', () => {
    const cwd = folderWith({ ...samples(), 'tempting.repair-plan.yaml': tempting });
    const parts = ['1/2', '2/2'].map((shard, at) => {
      const file = `part-${at}.json`;
      plugward(cwd, ['check', '.', '--format', 'json', '--shard', shard, '-o', file], { env });
      return file;
    });
    expect(plugward(cwd, ['merge', ...parts], { env }).out).toContain('tempting.repair-plan.yaml');
  });

  test('a watched check', async () => {
    const cwd = folderWith({ ...samples(), 'tempting.repair-plan.yaml': tempting });
    const child = spawn(process.execPath, [cli, 'check', '.', '--watch'], { cwd, env: process.env });
    const rounds = async (): Promise<string> => {
      let said = '';
      for await (const piece of child.stderr) if ((said += String(piece)).includes('watching')) return said;
      return said;
    };
    child.stdout.resume();
    expect(await rounds()).toContain('watching');
    child.kill('SIGKILL');
  });

  test('the tool server, for each of its tools', async () => {
    const cwd = folderWith({ ...samples(), 'tempting.repair-plan.yaml': tempting });
    const client = new Client({ name: 'test', version: '1' });
    await client.connect(
      new StdioClientTransport({ command: process.execPath, args: [cli, 'mcp', cwd], env, stderr: 'ignore' }),
    );
    const call = async (name: string, args: Record<string, unknown>): Promise<string> =>
      JSON.stringify(await client.callTool({ name, arguments: args }));
    expect(await call('check', {})).toContain('tempting.repair-plan.yaml');
    expect(await call('check', { text: tempting, file: 'new.repair-plan.yaml' })).toContain('file-missing');
    expect(await call('check', { paths: ['https://a.invalid/'] })).toContain('no such file');
    expect(await call('explain', { finding: 'bare-connector' })).toContain('whatToDo');
    expect(await call('tasks', { file: plan })).toContain('disconnect');
    expect(await call('compare', { old: plan, new: 'tempting.repair-plan.yaml' })).toContain('comparisons');
    await client.close();
  });

  test('the server, for every request on every sample', async () => {
    const client = await startClient(samplesFolder);
    const texts = { ...samples(), 'tempting.repair-plan.yaml': tempting };
    for (const [name, text] of Object.entries(texts)) {
      const uri = fileUri(path.join(samplesFolder, name));
      const textDocument = { uri };
      await client.open(uri, text);
      await client.diagnostics(uri, 1);
      const range = {
        start: { line: 0, character: 0 },
        end: { line: text.split('\n').length, character: 0 },
      };
      const ask = (method: string, more: object = {}) =>
        client.connection.sendRequest(method, { textDocument, ...more });
      for (let line = 0; line < range.end.line; line += 5) {
        const position = { line, character: 12 };
        for (const method of ['hover', 'completion', 'definition', 'documentHighlight', 'selectionRange'])
          await ask(`textDocument/${method}`, { position, positions: [position] });
      }
      await client.codeActions(uri, range);
      for (const method of [
        'documentSymbol',
        'foldingRange',
        'semanticTokens/full',
        'documentLink',
        'codeLens',
        'formatting',
      ])
        await ask(`textDocument/${method}`, { options: { tabSize: 2, insertSpaces: true } });
      await ask('textDocument/inlayHint', { range });
      await client.connection.sendRequest('plugward/preview', { uri });
    }
    expect(client.errors).toEqual([]);
    expect(await client.stop()).toBe(0);
    expect(readFileSync(`${log}.guarded`, 'utf8')).toContain('server.js');
  });
});

test('the bundles contain no network access except the sockets of the protocol library, and start nothing but git', () => {
  for (const [bundle, allowed] of [
    // Starts the next one, from code that an earlier run has kept.
    ['cli.js', ['vm']],
    // Threads of its own bundle, for many files; the guard above is loaded into each. Git, with an argument list and
    // without a shell, for `--since` alone.
    ['plugward.js', ['worker_threads', 'child_process']],
    ['extension/plugward.js', ['worker_threads', 'child_process']],
    // Sockets and pipes between editor and server, and the look at the parent process: never used over stdio and IPC. A
    // browser's worker, which runs the same file, has no `require`: tests/protocol/browser. The checker starts from kept code.
    ['server.js', ['net', 'child_process', 'vm']],
    ['core.js', []],
  ] as const) {
    const code = readFileSync(path.join(root, 'dist', bundle), 'utf8');
    const required = [...code.matchAll(/\brequire\("(?:node:)?([a-z0-9_/]+)"\)/g)].map(([, name]) => name!);
    const reaching = /^(net|tls|https?|http2|dgram|dns|child_process|cluster|inspector|worker_threads|vm)\b/;
    expect([bundle, [...new Set(required.filter((name) => reaching.test(name)))].sort()]).toEqual([
      bundle,
      [...allowed].sort(),
    ]);
    const makes =
      /\b(?:fetch|XMLHttpRequest|WebSocket|EventSource|sendBeacon|eval)\(|\bFunction\(|[=(,:?]\s*Function\s*[;,):]/;
    expect([bundle, makes.exec(code)?.[0]]).toEqual([bundle, undefined]);
  }
});
