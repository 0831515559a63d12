/**
 * `npm run bench`: measures the built server and command line from outside, each figure beside a floor or a peer that
 * was measured in the same run. Machines differ and are shared: the ratios count. Writes tests/bench/results.md, the
 * picture beside it, and the short table in README.md. A short run: PLUGWARD_BENCH_LINES=200,2000
 * PLUGWARD_BENCH_ROUNDS=0.2 PLUGWARD_BENCH_FILES=100 PLUGWARD_BENCH_FOLDERS=200, or a part of it:
 * PLUGWARD_BENCH_PARTS=folders; it writes nothing.
 */
import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { cpus, tmpdir } from 'node:os';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { parseDocument } from 'yaml';
import { scripts, undo } from './edits.ts';
import type { Edit } from './edits.ts';
import { folders } from './folders.ts';
import { growthPicture } from './growth.ts';
import { brokenJson } from './json-peer.ts';
import { benchSheet, laterVersionOf, planOf } from './plans.ts';
import { publishedValidators } from './published.ts';
import { inReadme, results } from './results.ts';
import type { Row, Typing } from './results.ts';
import { Server } from './server.ts';

const cache = path.resolve('.cache/bench');
const knobs = ['LINES', 'ROUNDS', 'FILES', 'FOLDERS', 'PARTS'].map(
  (name) => process.env[`PLUGWARD_BENCH_${name}`],
);
const isShort = knobs.some((value) => value !== undefined);
const sizes = (knobs[0] ?? '200,2000,20000').split(',').map(Number);
/** Part of the usual number of rounds. */
const share = Number(knobs[1] ?? 1);
const batch = Number(knobs[2] ?? 2000);
/** Numbers of closed plans. */
const closed = (knobs[3] ?? '200,2000,10000').split(',').map(Number);
const parts: ReadonlySet<string> = new Set((knobs[4] ?? 'start,writing,command-line,folders').split(','));

const rows: Row[] = [];
const typing: Typing[] = [];
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

async function inTurn(times: number, run: () => Promise<number>): Promise<number[]> {
  const spent: number[] = [];
  for (let i = 0; i < times; i++) spent.push(await run());
  return spent;
}

/** Medians of two figures whose runs take turns, so that both meet the hour in which a shared machine is slow. */
async function alternately(
  times: number,
  ours: () => Promise<number>,
  beside: () => Promise<number>,
): Promise<[ours: number, beside: number]> {
  const spent: [number[], number[]] = [[], []];
  for (let i = 0; i < times; i++) {
    spent[0].push(await ours());
    spent[1].push(await beside());
  }
  return [median(spent[0]), median(spent[1])];
}

const pinned: Readonly<Record<string, string>> = {
  'yaml-language-server': '1.19.2',
  'vscode-json-languageservice': '5.6.1',
  'js-yaml': '4.1.0',
};

/** General-purpose peers, installed on demand and pinned. */
function peers(): string {
  const folder = path.join(cache, 'peers');
  const names = Object.keys(pinned);
  if (!names.every((name) => existsSync(path.join(folder, 'node_modules', name)))) {
    mkdirSync(folder, { recursive: true });
    execFileSync('npm', [
      'install',
      '--no-audit',
      '--no-fund',
      '--silent',
      '--prefix',
      folder,
      ...names.map((name) => `${name}@${pinned[name]}`),
    ]);
  }
  return folder;
}

/** Times of one script's edits, or of the undo after them. */
interface Spent {
  readonly edits: number[];
  readonly undos: number[];
}

/** Plays a script, in as many rounds; the text is the same before and after. */
async function play(
  server: Server,
  uri: string,
  { edits, undone }: (typeof scripts)[number],
  rounds: number,
): Promise<Spent> {
  const spent: Spent = { edits: [], undos: [] };
  for (let round = 0; round < rounds; round++) {
    const before = server.text(uri);
    const made = edits(before, round);
    for (const edit of made) spent.edits.push(await server.edit(uri, edit));
    if (undone) spent.undos.push(await server.edit(uri, undo(made, before)));
    if (server.text(uri) !== before) throw new Error('an edit script leaves the text changed');
  }
  return spent;
}

/** What a person waits for while writing a plan of each size. */
async function writing(folder: string, peer: string): Promise<void> {
  const general: [number, number][] = [];
  for (const size of sizes) {
    const text = planOf(size);
    const server = await Server.start(['dist/server.js', '--stdio'], folder);
    const uri = pathToFileURL(path.join(folder, `${size}.repair-plan.yaml`)).toString();
    await server.open(uri, 'plugward-repair-plan', text);
    const opening = (when: string, ours: number, beside: string, theirs: number): void =>
      row(
        `open → findings, ${size} lines, ${when}`,
        ms(ours),
        '≤ 1.5 × parse and validate',
        `${beside} ${ms(theirs)}`,
        ours / theirs,
      );
    const cold = await openedFirst(folder, uri, text);
    const floorFirst = parsedFirst(folder, text);
    const floor = await repeated(5, () => isPlan(parseDocument(text).toJS()));
    opening('first', cold, 'a new process', floorFirst);
    const kept = pathToFileURL(mkdtempSync(path.join(tmpdir(), 'plugward-bench-kept-'))).toString();
    await openedFirst(folder, uri, text, kept);
    const second = await openedFirst(folder, uri, text, kept);
    rmSync(new URL(kept), { recursive: true });
    opening('in a second start', second, 'a new process', floorFirst);
    const warm = await openedAgain(folder, size, text);
    opening('warm', warm, 'parse and validate', floor);

    // Warms the server up; then each script is measured.
    for (const script of scripts) await play(server, uri, script, 1);
    const undos: number[] = [];
    const measured = (name: string, spent: readonly number[]): void => {
      const [p50, p95] = [median(spent), quantile(spent, 0.95)];
      typing.push({ name, size, p50, p95, samples: spent.length });
      console.log(`${name}, ${size} lines  |  p50 ${ms(p50)}  p95 ${ms(p95)}`);
    };
    for (const script of scripts) {
      const spent = await play(server, uri, script, Math.max(1, Math.round(script.rounds * share)));
      measured(script.name, spent.edits);
      undos.push(...spent.undos);
    }
    measured('undo', undos);

    if (size === Math.max(...sizes)) {
      const where = server.text(uri).indexOf('connectors: [c1]') + 14;
      for (const [name, method, target] of [
        ['hover', 'textDocument/hover', '5 ms'],
        ['completion', 'textDocument/completion', '10 ms'],
        ['symbols', 'textDocument/documentSymbol', '20 ms'],
      ] as const) {
        const asked = await repeated(9, () =>
          server.ask(method, uri, name === 'symbols' ? undefined : where),
        );
        row(`${name}, ${size} lines`, ms(asked), target);
      }
      const tokens: number[] = [];
      for (let round = 0; round < 9; round++) {
        const before = server.text(uri);
        const made = scripts[0]!.edits(before, round);
        for (const edit of made) await server.edit(uri, edit);
        const ask = () => server.askOfScreen('textDocument/semanticTokens/range', uri, made[0]!.at);
        tokens.push(await time(ask));
        await server.edit(uri, undo(made, before));
      }
      row(`tokens of 50 lines after an edit, ${size} lines`, ms(quantile(tokens, 0.95)), '10 ms');
    }
    const max = size <= 200 ? 80 : size <= 2000 ? 100 : 180;
    row(`peak memory, ${size} lines`, `${Math.round(server.peakMemory())} MiB`, `≤ ${max} MiB`);
    await server.stop();
    general.push([size, await generalKeystroke(folder, peer, uri, text)]);
    const [note] = typing.filter((one) => one.size === size);
    row(
      `a key in a note, ${size} lines, beside a general YAML server`,
      ms(note!.p50),
      '',
      `general ${ms(general.at(-1)![1])}`,
      note!.p50 / general.at(-1)![1],
    );
    const bracket = typing.find((one) => one.size === size && one.name.startsWith('a bracket'))!;
    const json = median(await brokenJson(peer, text));
    row(
      `a bracket rubbed out and typed again, ${size} lines, beside a general JSON service`,
      ms(bracket.p50),
      '',
      `general ${ms(json)}`,
      bracket.p50 / json,
    );
  }
  const [small, large] = sizes.slice(-2).map((size) => typing.find((one) => one.size === size)!);
  if (large)
    row(
      `growth of a key in a note, ${large.size} over ${small!.size} lines`,
      '',
      '≤ 3',
      '',
      large.p50 / small!.p50,
    );
  const curve = (name: string): [number, number][] =>
    typing.filter((one) => one.name === name).map(({ size, p50 }) => [size, p50]);
  write(
    'tests/bench/growth.svg',
    growthPicture([
      { name: 'a key in a note', points: curve('a note'), colour: '#2a7de1' },
      { name: 'a key of a new operation', points: curve('a new operation in braces'), colour: '#d9730d' },
      { name: 'ten lines pasted', points: curve('ten lines pasted'), colour: '#1a9c6b' },
      { name: 'a general YAML server, a key', points: general, colour: '#888', dashed: true },
    ]),
  );
}

/**
 * Opens a plan in new servers: the first thing they are asked for, with all that has to be loaded for it.
 * @param cacheFolder as an editor names one: what a start keeps there, the next one finds
 */
async function openedFirst(folder: string, uri: string, text: string, cacheFolder?: string): Promise<number> {
  return median(
    await inTurn(5, async () => {
      const server = await Server.start(['dist/server.js', '--stdio'], folder, { options: { cacheFolder } });
      const spent = await time(() => server.open(uri, 'plugward-repair-plan', text));
      await server.stop();
      return spent;
    }),
  );
}

/** Reads and validates a plan in new processes, loading what that takes. */
function parsedFirst(folder: string, text: string): number {
  const file = path.join(folder, 'first.yaml');
  writeFileSync(file, text);
  const run = (): number =>
    Number(
      execFileSync(process.execPath, [
        path.join(cache, 'parse-only.js'),
        file,
        path.resolve('node_modules/yaml'),
        published,
      ]),
    );
  return median(Array.from({ length: 5 }, run));
}

/** Opens plans of one size one after the other: the median after the first ones, which warm the server up. */
async function openedAgain(folder: string, size: number, text: string): Promise<number> {
  const server = await Server.start(['dist/server.js', '--stdio'], folder);
  const spent: number[] = [];
  for (let i = 0; i < (size < 1000 ? 25 : 7); i++) {
    const uri = pathToFileURL(path.join(folder, `again-${i}.repair-plan.yaml`)).toString();
    const other = text.replace('BENCH-1', `BENCH-${i}`);
    spent.push(await time(() => server.open(uri, 'plugward-repair-plan', other)));
    await server.close(uri);
  }
  await server.stop();
  return median(spent.slice(Math.floor(spent.length / 3)));
}

async function generalKeystroke(folder: string, peer: string, uri: string, text: string): Promise<number> {
  const server = await Server.start(
    [path.join(peer, 'node_modules/yaml-language-server/bin/yaml-language-server'), '--stdio'],
    folder,
  );
  await server.open(uri, 'yaml', text);
  const at = text.indexOf('Beside the work', text.length >> 1);
  const key: Edit = { at, deleted: 0, text: 'x' };
  const spent = median(await inTurn(7, () => server.edit(uri, key)));
  await server.stop();
  return spent;
}

async function starts(folder: string): Promise<void> {
  const start = (script: string) => async (): Promise<number> => {
    let server: Server | undefined;
    const spent = await time(async () => (server = await Server.start([script, '--stdio'], folder)));
    await server!.stop();
    return spent;
  };
  const [ours, empty] = await alternately(
    15,
    start('dist/server.js'),
    start(path.join(cache, 'empty-server.js')),
  );
  row('start → initialized', ms(ours), '≤ 1.2 × an empty server', `empty server ${ms(empty)}`, ours / empty);
}

async function commandLine(folder: string, peer: string): Promise<void> {
  const small = path.join(folder, 'small.repair-plan.yaml');
  writeFileSync(small, planOf(200));
  // Findings are kept between runs in a folder that lies outside of what is checked.
  const env = { ...process.env, XDG_CACHE_HOME: path.join(folder, 'kept') };
  const node = (args: readonly string[]): number =>
    spawnSync(process.execPath, args, { stdio: 'ignore', env }).status ?? -1;
  // The first run keeps the program's compiled code.
  node(['dist/cli.js', 'check', '--exit-zero', small]);
  const check = ['dist/cli.js', 'check', '--no-cache', '--exit-zero', small];
  const [one, bare] = await alternately(
    15,
    () => time(() => node(check)),
    () => time(() => node(['-e', '0'])),
  );
  row('command line, one small plan', ms(one), '≤ 2 × bare node', `bare node ${ms(bare)}`, one / bare);

  const versions = ['old', 'new'].map((name) => path.join(folder, `${name}.repair-plan.yaml`));
  writeFileSync(versions[0]!, planOf(2000));
  writeFileSync(versions[1]!, laterVersionOf(planOf(2000)));
  const each: number[] = [];
  for (const file of versions)
    each.push(await repeated(7, () => node(['dist/cli.js', 'check', '--no-cache', '--exit-zero', file])));
  const checks = each[0]! + each[1]!;
  const compared = await repeated(7, () => node(['dist/cli.js', 'compare', ...versions]));
  row(
    'compare of two plans, 2000 lines',
    ms(compared),
    '≤ 2 × a check of each',
    `a check of each ${ms(checks)}`,
    compared / checks,
  );

  const many = path.join(folder, 'many');
  mkdirSync(many);
  writeFileSync(path.join(many, 'bench.rate-sheet.yaml'), benchSheet);
  for (let i = 0; i < batch; i++)
    writeFileSync(path.join(many, `p${i}.repair-plan.yaml`), planOf(200).replace('BENCH-1', `BENCH-${i}`));
  const checking = ['dist/cli.js', 'check', '--exit-zero', '--quiet', many];
  const all = await time(() => node([...checking, '--no-cache']));
  const kept = await time(() => node(checking));
  const again = await repeated(5, () => node(checking));
  const fixing = await time(() => node(['dist/cli.js', 'fix', '--diff', many]));
  const perSecond = (spent: number): string => `${Math.round((batch / spent) * 1000)} files/s`;
  for (const [name, reader, target] of [
    ['schema-only', path.join(peer, 'node_modules/js-yaml'), '≥ 0.5 × schema-only'],
    ['schema-only with places', path.resolve('node_modules/yaml'), ''],
  ] as const) {
    const floor = await time(() => node([path.join(cache, 'schema-only.js'), many, reader, published]));
    const beside = name === 'schema-only' ? '' : ', beside a reader that keeps places';
    row(
      `batch, ${batch} files of 200 lines${beside}`,
      perSecond(all),
      target,
      `${name} ${perSecond(floor)}`,
      floor / all,
    );
  }
  row(
    `check again, ${batch} files unchanged`,
    ms(again),
    '≤ 0.1 × the first check',
    `the first check ${ms(kept)}`,
    again / kept,
  );
  row(`fix --diff, ${batch} files`, ms(fixing), '≤ 3 × check', `check ${ms(all)}`, fixing / all);
}

function sizesOnDisk(): void {
  if (existsSync('dist/plugward.vsix')) {
    row('extension package', `${(statSync('dist/plugward.vsix').size / 1e6).toFixed(2)} MB`, '≤ 1 MB');
  }
}

function write(file: string, text: string): void {
  if (!isShort) writeFileSync(file, text);
}

async function main(): Promise<void> {
  const folder = mkdtempSync(path.join(tmpdir(), 'plugward-bench-'));
  try {
    writeFileSync(path.join(folder, 'bench.rate-sheet.yaml'), benchSheet);
    // Warms the compiler for the floor that is measured in this process.
    for (let i = 0; i < 5; i++) isPlan(parseDocument(planOf(2000)).toJS());
    if (parts.has('start')) await starts(folder);
    if (parts.has('writing')) await writing(folder, peers());
    if (parts.has('command-line')) await commandLine(folder, peers());
    if (parts.has('folders')) await folders(folder, closed, row);
    sizesOnDisk();
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
  const day = new Date().toISOString().slice(0, 10);
  const machine = `${cpus().length} × ${cpus()[0]!.model.trim()}, Node ${process.version}`;
  write('tests/bench/results.md', results({ day, machine, rows, typing }));
  write('README.md', inReadme(readFileSync('README.md', 'utf8'), { day, rows }));
}

void main();
