/**
 * What the server does with folders of many closed plans: time to all findings beside the command line's, what is asked of all
 * files, memory, and how a person types meanwhile.
 */
import { spawnSync } from 'node:child_process';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { benchSheet, planOf } from './plans.ts';
import type { Edit } from './edits.ts';
import { Server } from './server.ts';

type AddRow = (figure: string, ours: string, target: string, beside?: string, ratio?: number) => void;

const list = `connector-list: bench
connectors:
  - { id: c1, class: interlock, zone: quarter-right }
`;
const plan = (number: number): string =>
  planOf(200)
    .replace('BENCH-1', `BENCH-${number}`)
    .replace(
      'uses: [./bench.rate-sheet.yaml]',
      'uses: [./bench.rate-sheet.yaml, ./bench.connector-list.yaml]',
    );

const ms = (value: number): string => `${value < 10 ? value.toFixed(1) : Math.round(value)} ms`;
const seconds = (value: number): string => `${(value / 1000).toFixed(1)} s`;
const time = async (run: () => unknown): Promise<number> => {
  const start = performance.now();
  await run();
  return performance.now() - start;
};
const quantile = (values: readonly number[], q: number): number =>
  [...values].sort((a, b) => a - b)[Math.floor(q * (values.length - 1))]!;

/** What takes time in proportion to the number of plans. */
interface Grown {
  readonly plans: number;
  readonly spent: number;
}

export async function folders(root: string, sizes: readonly number[], row: AddRow): Promise<void> {
  const grown = new Map<string, Grown[]>();
  const asked = async (name: string, plans: number, run: () => Promise<unknown>): Promise<void> => {
    const spent = await time(run);
    row(`${name}, ${plans} closed plans`, ms(spent), '≤ 1000 ms');
    grown.set(name, [...(grown.get(name) ?? []), { plans, spent }]);
  };
  for (const plans of sizes) {
    const folder = path.join(root, `closed-${plans}`);
    mkdirSync(folder);
    writeFileSync(path.join(folder, 'bench.rate-sheet.yaml'), benchSheet);
    writeFileSync(path.join(folder, 'bench.connector-list.yaml'), list);
    for (let i = 0; i < plans; i++) writeFileSync(path.join(folder, `p${i}.repair-plan.yaml`), plan(i));
    const uriOf = (name: string): string => pathToFileURL(path.join(folder, name)).toString();

    const check = ['dist/cli.js', 'check', '--exit-zero', '--quiet', '--no-cache', '--jobs', '1', folder];
    const beside = await time(() => spawnSync(process.execPath, check, { stdio: 'ignore' }));
    const first = await Server.start(['dist/server.js', '--stdio'], folder, { pulls: true });
    const all = await time(() => first.pullAll());
    row(
      `all findings, ${plans} closed plans`,
      seconds(all),
      '≤ 1.3 × check in one thread',
      `check ${seconds(beside)}`,
      all / beside,
    );

    const peak = first.peakMemory();
    await first.stop();
    // A second start, with what the first has kept.
    const cacheFolder = pathToFileURL(path.join(root, `kept-${plans}`)).toString();
    const started = async (): Promise<[Server, number]> => {
      const other = await Server.start(['dist/server.js', '--stdio'], folder, {
        pulls: true,
        options: { cacheFolder },
      });
      return [other, await time(() => other.pullAll())];
    };
    const [keeping, kept] = await started();
    await keeping.stop();
    const [server, again] = await started();
    row(
      `a second start, ${plans} closed plans`,
      seconds(again),
      '≤ 0.1 × the first',
      `the first ${seconds(kept)}`,
      again / kept,
    );

    // A list that all of them use.
    const listUri = uriOf('bench.connector-list.yaml');
    await server.open(listUri, 'plugward-connector-list', list);
    const plan0 = uriOf('p0.repair-plan.yaml');
    await server.open(plan0, 'plugward-repair-plan', readFileSync(new URL(plan0), 'utf8'));
    const at = { textDocument: { uri: listUri }, position: { line: 2, character: 10 } };
    await asked('references', plans, () =>
      server.connection.sendRequest('textDocument/references', {
        ...at,
        context: { includeDeclaration: true },
      }),
    );
    await asked('rename', plans, () =>
      server.connection.sendRequest('textDocument/rename', { ...at, newName: 'c1-renamed' }),
    );
    await asked('symbols', plans, () =>
      server.connection.sendRequest('workspace/symbol', { query: 'op1-1' }),
    );

    const zone = list.indexOf('quarter-right');
    const change: Edit = { at: zone, deleted: 'quarter-right'.length, text: 'quarter-left' };
    await server.pullAll();
    const quiet = await typing(server, plan0, new Promise((resolve) => setTimeout(resolve, 3000)));
    let spent = 0;
    const everywhere = await time(async () => {
      spent = await time(async () => {
        await server.edit(listUri, change);
        await server.pull(plan0);
      });
      const found = server.pullAll();
      const keys = await typing(server, plan0, found);
      const [p50, p95] = [quantile(keys, 0.5), quantile(keys, 0.95)];
      row(
        `a key in an open plan meanwhile, ${plans} closed plans`,
        `p50 ${ms(p50)}, p95 ${ms(p95)}`,
        'p95 ≤ 30 ms',
        `alone p50 ${ms(quantile(quiet, 0.5))}, p95 ${ms(quantile(quiet, 0.95))}`,
        p95 / quantile(quiet, 0.95),
      );
    });
    row(`an edit of a shared list → the open plan, ${plans} closed plans`, ms(spent), '≤ 150 ms');
    row(
      `an edit of a shared list → all closed plans, ${plans}`,
      seconds(everywhere),
      '≤ 1.5 × the first check',
      `the first check ${seconds(all)}`,
      everywhere / all,
    );
    row(
      `peak memory, ${plans} closed plans`,
      `${Math.round(Math.max(peak, server.peakMemory()))} MiB`,
      '≤ 400 MiB',
    );
    await server.stop();
  }
  for (const [name, points] of grown) {
    const [small, large] = points.slice(-2);
    if (!small || !large) continue;
    const ratio = large.spent / large.plans / (small.spent / small.plans);
    row(`growth of ${name} per plan, ${large.plans} over ${small.plans}`, '', '≤ 1.5', '', ratio);
  }
}

/** Times from a key to the findings of the plan in which it is typed, ten keys a second, until `work` is done. */
async function typing(server: Server, uri: string, work: Promise<unknown>): Promise<number[]> {
  const spent: number[] = [];
  let isDone = false;
  void work.finally(() => (isDone = true));
  const at = server.text(uri).indexOf('Beside the work');
  do {
    spent.push(
      await time(async () => {
        await server.edit(uri, { at, deleted: 0, text: 'x' });
        await server.pull(uri);
      }),
    );
    await new Promise((resolve) => setTimeout(resolve, 100));
  } while (!isDone);
  await work;
  return spent;
}
