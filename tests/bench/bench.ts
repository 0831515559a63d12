/**
 * `npm run bench`: measures the built server and command line from outside, each figure beside a floor or a peer that
 * was measured in the same run. Machines differ and are shared: the ratios count. Writes tests/bench/results.md.
 */
import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { cpus, tmpdir } from 'node:os';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { readDocument } from '../../server/src/document/document.ts';
import { parseDocument } from 'yaml';
import { benchSheet, planOf } from './plans.ts';
import { publishedValidators } from './published.ts';
import { Server } from './server.ts';

const cache = path.resolve('.cache/bench');
const sizes = [200, 2000, 20_000] as const;
const keys = Number(process.env['PLUGWARD_BENCH_KEYS'] ?? 60);
const batch = Number(process.env['PLUGWARD_BENCH_FILES'] ?? 2000);

interface Row {
  readonly figure: string;
  readonly ours: string;
  readonly beside: string;
  readonly ratio: string;
  readonly target: string;
}
const rows: Row[] = [];
const published = path.resolve('.cache/bench/published.js');
const isPlan = publishedValidators(published);

const sorted = (values: readonly number[]): number[] => [...values].sort((a, b) => a - b);
const quantile = (values: readonly number[], q: number): number =>
  sorted(values)[Math.floor(q * (values.length - 1))]!;
const median = (values: readonly number[]): number => quantile(values, 0.5);
const ms = (value: number): string => `${value < 10 ? value.toFixed(1) : Math.round(value)} ms`;

function row(figure: string, ours: string, target: string, beside = '', ratio?: number): void {
  rows.push({ figure, ours, beside, ratio: ratio === undefined ? '' : ratio.toFixed(2), target });
  console.log([figure, ours, beside, ratio?.toFixed(2) ?? '', target].filter(Boolean).join('  |  '));
}

const time = async (run: () => unknown): Promise<number> => {
  const start = performance.now();
  await run();
  return performance.now() - start;
};

async function repeated(times: number, run: () => unknown): Promise<number> {
  const spent: number[] = [];
  for (let i = 0; i < times; i++) spent.push(await time(run));
  return median(spent);
}

/** General-purpose peers, installed on demand and pinned. */
function peers(): string {
  const folder = path.join(cache, 'peers');
  if (!existsSync(path.join(folder, 'node_modules/yaml-language-server'))) {
    mkdirSync(folder, { recursive: true });
    execFileSync('npm', [
      'install',
      '--no-audit',
      '--no-fund',
      '--silent',
      '--prefix',
      folder,
      'yaml-language-server@1.19.2',
      'js-yaml@4.1.0',
    ]);
  }
  return folder;
}

async function keystrokes(folder: string, peer: string): Promise<void> {
  const perSize: number[] = [];
  for (const size of sizes) {
    const text = planOf(size);
    const server = await Server.start(['dist/server.js', '--stdio'], folder);
    const uri = pathToFileURL(path.join(folder, `${size}.repair-plan.yaml`)).toString();
    const opened = await time(() => server.open(uri, 'plugward-repair-plan', text));
    const bare = await repeated(3, () => isPlan(parseDocument(text).toJS()));
    row(
      `open → findings, ${size} lines`,
      ms(opened),
      '≤ 1.5 × parse and validate',
      `parse and validate ${ms(bare)}`,
      opened / bare,
    );

    const at = text.indexOf('Beside the work', text.length >> 1);
    const spent: number[] = [];
    for (let i = 0; i < keys; i++) spent.push(await time(() => server.type(uri, at + i, 'x')));
    const steady = spent.slice(Math.min(10, keys >> 2));
    perSize.push(median(steady));
    row(`keystroke → findings, ${size} lines, p50`, ms(median(steady)), `${size === 20_000 ? 9 : 3} ms`);
    row(
      `keystroke → findings, ${size} lines, p95`,
      ms(quantile(steady, 0.95)),
      '≤ 3 × p50',
      '',
      quantile(steady, 0.95) / median(steady),
    );

    const entry = '  - { id: typed-op, do: cover, connectors: [c1], using: dummy-plug }\n';
    const line = server.text(uri).indexOf('\n  - { id: op3-1') + 1;
    const typed: number[] = [];
    for (let i = 0; i < entry.length; i++)
      typed.push(await time(() => server.type(uri, line + i, entry[i]!)));
    row(
      `a new entry, key by key, ${size} lines, p50`,
      ms(median(typed)),
      `${size === 20_000 ? 25 : size === 2000 ? 5 : 4} ms`,
    );

    if (size === 20_000) {
      const where = server.text(uri).indexOf('connectors: [c1]') + 14;
      row(
        'hover, 20,000 lines',
        ms(await repeated(9, () => server.ask('textDocument/hover', uri, where))),
        '5 ms',
      );
      row(
        'completion, 20,000 lines',
        ms(await repeated(9, () => server.ask('textDocument/completion', uri, where))),
        '10 ms',
      );
      row(
        'symbols, 20,000 lines',
        ms(await repeated(9, () => server.ask('textDocument/documentSymbol', uri))),
        '20 ms',
      );
    }
    row(
      `peak memory, ${size} lines`,
      `${Math.round(server.peakMemory())} MiB`,
      `≤ ${size === 200 ? 80 : size === 2000 ? 100 : 180} MiB`,
    );
    await server.stop();

    const general = await Server.start(
      [path.join(peer, 'node_modules/yaml-language-server/bin/yaml-language-server'), '--stdio'],
      folder,
    );
    await general.open(uri, 'yaml', text);
    const theirs = await repeated(7, () => general.type(uri, at, 'x'));
    row(
      `keystroke, ${size} lines, beside a general YAML server`,
      ms(median(steady)),
      '',
      `general ${ms(theirs)}`,
      median(steady) / theirs,
    );
    await general.stop();
  }
  row('growth of a keystroke, 20,000 over 2,000 lines', '', '≤ 3', '', perSize[2]! / perSize[1]!);
}

async function starts(folder: string): Promise<void> {
  const start = (script: string): Promise<number> =>
    repeated(9, async () => {
      const server = await Server.start([script, '--stdio'], folder);
      await server.stop();
    });
  const ours = await start('dist/server.js');
  const empty = await start(path.join(cache, 'empty-server.js'));
  row(
    'start → initialized (and stop)',
    ms(ours),
    '≤ 1.2 × an empty server',
    `empty server ${ms(empty)}`,
    ours / empty,
  );
}

async function commandLine(folder: string, peer: string): Promise<void> {
  const small = path.join(folder, 'small.repair-plan.yaml');
  writeFileSync(small, planOf(200));
  const node = (args: readonly string[]): number =>
    spawnSync(process.execPath, args, { stdio: 'ignore' }).status ?? -1;
  const bare = await repeated(9, () => node(['-e', '0']));
  const one = await repeated(9, () => node(['dist/cli.js', 'check', '--exit-zero', small]));
  row('command line, one small plan', ms(one), '≤ 2 × bare node', `bare node ${ms(bare)}`, one / bare);

  const many = path.join(folder, 'many');
  mkdirSync(many);
  writeFileSync(path.join(many, 'bench.rate-sheet.yaml'), benchSheet);
  for (let i = 0; i < batch; i++)
    writeFileSync(path.join(many, `p${i}.repair-plan.yaml`), planOf(200).replace('BENCH-1', `BENCH-${i}`));
  const all = await time(() => node(['dist/cli.js', 'check', '--exit-zero', '--quiet', many]));
  const floor = await time(() =>
    node([path.join(cache, 'schema-only.js'), many, path.join(peer, 'node_modules/js-yaml'), published]),
  );
  row(
    `batch, ${batch} files of 200 lines`,
    `${Math.round((batch / all) * 1000)} files/s`,
    '≥ schema-only',
    `schema-only ${Math.round((batch / floor) * 1000)} files/s`,
    floor / all,
  );
}

function sizesOnDisk(): void {
  if (existsSync('dist/plugward.vsix')) {
    row('extension package', `${(statSync('dist/plugward.vsix').size / 1e6).toFixed(2)} MB`, '≤ 1 MB');
  }
}

async function main(): Promise<void> {
  const folder = mkdtempSync(path.join(tmpdir(), 'plugward-bench-'));
  try {
    writeFileSync(path.join(folder, 'bench.rate-sheet.yaml'), benchSheet);
    // Warms the compiler for the floor that is measured in this process.
    readDocument('file:///warm', 'repair-plan', planOf(2000));
    const peer = peers();
    await starts(folder);
    await keystrokes(folder, peer);
    await commandLine(folder, peer);
    sizesOnDisk();
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }

  const table = [
    '# Measurements',
    '',
    `${new Date().toISOString().slice(0, 10)}, ${cpus().length} × ${cpus()[0]!.model.trim()}, Node ${process.version}. Written by \`npm run bench\`. A shared`,
    'machine: trust the ratios of one run, not the milliseconds.',
    '',
    '| figure | Plugward | beside it, in the same run | ratio | target |',
    '| --- | ---: | --- | ---: | --- |',
    ...rows.map(
      ({ figure, ours, beside, ratio, target }) =>
        `| ${figure} | ${ours} | ${beside} | ${ratio} | ${target} |`,
    ),
    '',
  ].join('\n');
  writeFileSync('tests/bench/results.md', table);
}

void main();
