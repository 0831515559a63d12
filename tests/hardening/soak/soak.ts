import path from 'node:path';
import { samples } from '../../support/files.ts';
import { benchSheet, planOf } from '../../bench/plans.ts';
import { Random } from '../fuzz/random.ts';
import { happen } from './acts.ts';
import { Editor } from './editor.ts';
import type { Answers } from './editor.ts';

export interface SoakOptions {
  readonly seed: number;
  /** Plans in the folder; a third of them is open at any time. */
  readonly plans: number;
  /** Whether the editor tells what changes on the disk. */
  readonly watches: boolean;
  /** How much of the run is over, from 0 to 1, after so many acts. */
  readonly progress: (acts: number) => number;
  /** Looks at the memory. */
  readonly looks: number;
  readonly tell?: (line: string) => void;
}

/** Memory of one server from its start to its end. Unit: MB. */
interface Life {
  readonly looks: { readonly at: number; readonly heap: number; readonly process: number }[];
}

export interface SoakResult {
  readonly seed: number;
  readonly acts: number;
  readonly counts: Readonly<Record<string, number>>;
  readonly lives: readonly Life[];
  /** Files of which a fresh server says something else. */
  readonly different: readonly string[];
  readonly compared: number;
  /** Errors that the server reported of itself. */
  readonly errors: readonly string[];
}

/** Parts of the run after which the server is killed; each life afterwards is long enough to be looked at. */
const kills = [0.02, 0.05, 0.4];
/** The part of a run that a server may take to settle. */
const warmUp = 1 / 6;

function shop(plans: number): Record<string, string> {
  const given = samples();
  const kinds = [
    given['quarter-panel-faulty.repair-plan.yaml']!,
    given['quarter-panel.repair-plan.yaml']!,
    given['hybrid-door.repair-plan.yaml']!,
    planOf(120),
  ];
  const shared = Object.entries(given).filter(([name]) => !name.endsWith('.repair-plan.yaml'));
  const made = Array.from({ length: plans }, (_, i) => [
    `HL-${1000 + i}.repair-plan.yaml`,
    kinds[i % kinds.length]!.replace(/^plan: .*/m, `plan: HL-${1000 + i}`),
  ]);
  return Object.fromEntries([...shared, ['bench.rate-sheet.yaml', benchSheet], ...made]) as Record<
    string,
    string
  >;
}

/** A day at the editor: everything that happens to plans, at random, against the built server over its streams. */
export async function soak({
  seed,
  plans,
  watches,
  progress,
  looks,
  tell,
}: SoakOptions): Promise<SoakResult> {
  const random = new Random(seed);
  const editor = new Editor(shop(plans), watches);
  const counts: Record<string, number> = {};
  const lives: Life[] = [];
  const different: string[] = [];
  const errors: string[] = [];
  let compared = 0;
  const compare = (now: Answers, fresh: Answers, when: string): void => {
    for (const key of new Set([...now.keys(), ...fresh.keys()])) {
      compared++;
      if (now.get(key) !== fresh.get(key))
        different.push(
          `${when}: ${path.basename(key)}\n  now:   ${now.get(key) ?? 'nothing'}\n  fresh: ${fresh.get(key) ?? 'nothing'}`,
        );
    }
  };
  try {
    for (const [i, file] of editor.closed.entries())
      if (file.uri.includes('HL-') && i % 3 === 0) file.open = true;
    await editor.start();
    lives.push({ looks: [] });
    let acts = 0;
    let looked = 0;
    let killed = 0;
    for (let part = 0; part < 1; part = progress(acts)) {
      const name = await happen(editor, random, acts++);
      counts[name] = (counts[name] ?? 0) + 1;
      if (part >= kills[killed]!) {
        killed++;
        const before = await editor.answers();
        errors.push(...editor.client.errors);
        await editor.client.kill();
        await editor.start();
        compare(before, await editor.answers(), `at the kill after ${acts}`);
        lives.push({ looks: [] });
      }
      if (part * looks >= looked + 1) {
        looked = Math.floor(part * looks);
        // All that is in the folder is read and checked, as it is each time.
        await editor.request('workspace/diagnostic', { previousResultIds: [] });
        const memory = await editor.memory();
        lives.at(-1)!.looks.push({ at: part, ...memory });
        tell?.(
          `${(100 * part).toFixed(1)} % ${acts} acts, heap ${memory.heap.toFixed(1)} MB, process ${memory.process.toFixed(0)} MB, ${different.length} different`,
        );
      }
    }
    compare(await editor.answers(), await editor.afresh(), 'at the end');
    errors.push(...editor.client.errors);
    return { seed, acts, counts, lives, different, compared, errors };
  } finally {
    await editor.end();
  }
}

const mean = (values: readonly number[]): number => values.reduce((sum, one) => sum + one, 0) / values.length;

/**
 * How a server's memory grew in each life after it had settled: the mean of the last third of the looks over that of the
 * first third. Lives with fewer than six such looks are left out.
 */
export function growth(lives: readonly Life[]): { heap: number; process: number }[] {
  return lives.flatMap(({ looks }) => {
    const settled = looks.filter(({ at }) => at - looks[0]!.at >= warmUp / 2);
    if (settled.length < 6) return [];
    const third = Math.floor(settled.length / 3);
    const over = (of: 'heap' | 'process'): number =>
      mean(settled.slice(-third).map((one) => one[of])) / mean(settled.slice(0, third).map((one) => one[of]));
    return [{ heap: over('heap'), process: over('process') }];
  });
}
