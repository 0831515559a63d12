import fc from 'fast-check';
import { expect, test, vi } from 'vitest';
import { parse } from 'yaml';
import { check } from '../../server/src/features/check.ts';
import type { Workspace } from '../../server/src/workspace/workspace.ts';
import { samples, workspaceOf } from '../support/files.ts';
import { cleanPlans } from './clean-plans.ts';
import { mutationsOf, written } from './mutations.ts';
import type { Mutation } from './mutations.ts';
import { patience, runs, today } from './runs.ts';

vi.setConfig({ testTimeout: patience });

interface Tally {
  tried: number;
  found: number;
}

/** Whether the finding that must come of a mutation comes, at the connector it is about. */
function isFound(clean: Workspace, { files, expects, connector }: Mutation, name: string): boolean {
  const mutated = clean.fork();
  for (const [file, text] of Object.entries(files)) mutated.set(`file:///plans/${file}`, text);
  return check(mutated, `file:///plans/${name}`, { today }).some(
    (diagnosis) =>
      diagnosis.finding === expects &&
      (connector === undefined || diagnosis.connector === connector || diagnosis.message.includes(connector)),
  );
}

function judge(files: Readonly<Record<string, string>>, name: string, tallies: Map<string, Tally>): string[] {
  // Written as the mutations are, so that only the entry that differs is read again.
  const clean = workspaceOf({ ...files, [name]: written(parse(files[name]!) as object) });
  const missed: string[] = [];
  for (const mutation of mutationsOf(files, name)) {
    const key = `${mutation.kind} → ${mutation.expects}`;
    const tally = tallies.get(key) ?? { tried: 0, found: 0 };
    tallies.set(key, tally);
    tally.tried++;
    if (isFound(clean, mutation, name)) tally.found++;
    else missed.push(`${key} at ${mutation.connector ?? 'the plan'}\n${mutation.files[name]}`);
  }
  return missed;
}

function table(tallies: ReadonlyMap<string, Tally>): string {
  const rows = [...tallies].map(
    ([key, { tried, found }]) => `${String(found).padStart(6)} of ${String(tried).padEnd(6)} ${key}`,
  );
  const sum = (pick: (tally: Tally) => number): number =>
    [...tallies.values()].reduce((all, one) => all + pick(one), 0);
  return [...rows.sort(), `${sum(({ found }) => found)} of ${sum(({ tried }) => tried)} in all`].join('\n');
}

test('clean sample: every required step or line that is removed, moved or swapped is reported', () => {
  const tallies = new Map<string, Tally>();
  const missed = judge(samples(), 'quarter-panel.repair-plan.yaml', tallies);
  console.log(`Recall on the clean sample\n${table(tallies)}`);
  expect(missed.slice(0, 1)).toEqual([]);
});

test('generated plans: every required step or line that is removed, moved or swapped is reported', () => {
  const tallies = new Map<string, Tally>();
  const plans = fc.sample(cleanPlans, runs(7));
  const missed = plans.flatMap(({ files, name }) => judge(files, name, tallies));
  console.log(`Recall on ${plans.length} generated plans\n${table(tallies)}`);
  expect(missed.slice(0, 1)).toEqual([]);
});
