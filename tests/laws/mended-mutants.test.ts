import { writeFileSync } from 'node:fs';
import { createTwoFilesPatch } from 'diff';
import fc from 'fast-check';
import { expect, test, vi } from 'vitest';
import { applyEdits } from '../../server/src/text/span.ts';
import { check } from '../../server/src/features/check.ts';
import type { Diagnosis } from '../../server/src/features/check.ts';
import { fixAll, fixesAt } from '../../server/src/features/fixes.ts';
import type { Workspace } from '../../server/src/workspace/workspace.ts';
import { mutantsOf, trainingPlans, trainingWorkspace } from './plan-mutants.ts';
import type { Mutant } from './plan-mutants.ts';
import { patience, runs, today } from './runs.ts';

vi.setConfig({ testTimeout: patience });

const clean = trainingWorkspace();
const procedure = 'make-safe.shop-procedure.yaml';
const uriOf = ({ file }: Mutant): string =>
  `file:///plans/${file === procedure ? 'outside-firm.repair-plan.yaml' : file}`;

/** Steps taken out, and connectors taken out of steps. */
const deletions: readonly Mutant[] = [...trainingPlans, procedure]
  .flatMap((file) => [...mutantsOf(file)])
  .filter(({ kind }) => /^(delete|drop one connector of) /.test(kind));

/** A seeded share of them; all with PLUGWARD_LAW_RUNS=10 or more. */
const { numRuns, seed } = runs(45);
const some: readonly Mutant[] =
  numRuns >= deletions.length || Number(process.env['PLUGWARD_LAW_RUNS'] ?? 1) >= 10
    ? deletions
    : fc.sample(fc.shuffledSubarray([...deletions], { minLength: numRuns, maxLength: numRuns }), {
        numRuns: 1,
        seed,
      })[0]!;

function workspaceWith(mutant: Mutant, text?: string): Workspace {
  const workspace = clean.fork();
  workspace.set(`file:///plans/${mutant.file}`, mutant.text);
  if (text !== undefined) workspace.set(uriOf(mutant), text);
  return workspace;
}

/** Asked of the plan once it is mended: they need a reading, a photograph, a figure or a place that no fix can know. */
const owedLater: ReadonlySet<string> = new Set([
  'measurement-missing',
  'evidence-missing',
  'limit-missing',
  'gloves-unstated',
  'proof-place-unstated',
]);
/** Two findings about one cause: the first step that lacks it gives the name. */
const cause = ({ finding }: Diagnosis): string => (finding === 'live-opening' ? 'live-work' : finding);
const words = ({ message, trace, operation, connector, also }: Diagnosis): ReadonlySet<string> =>
  new Set(
    [message, ...trace.map((one) => one.message), operation, connector, ...(also ?? [])]
      .join(' ')
      .split(/[^\p{L}\p{N}/-]+/u),
  );

/** What is found now and was not said of this step and connector before. */
function caused(before: readonly Diagnosis[], after: readonly Diagnosis[]): string[] {
  const isKnown = (diagnosis: Diagnosis): boolean =>
    before.some(
      (known) =>
        cause(known) === cause(diagnosis) &&
        [diagnosis.operation, diagnosis.connector].every((id) => id === undefined || words(known).has(id)),
    );
  return after
    .filter((diagnosis) => !owedLater.has(diagnosis.finding) && !isKnown(diagnosis))
    .map(({ finding, message }) => `${finding}: ${message}`);
}

const sampleFile = process.env['PLUGWARD_FIXES_SAMPLE'];

test(`every fix offered for ${some.length} of ${deletions.length} deletions mends its finding and causes no other`, () => {
  const shown: string[] = [];
  let offered = 0;
  for (const mutant of some) {
    const workspace = workspaceWith(mutant);
    const text = workspace.text(uriOf(mutant))!;
    const before = check(workspace, uriOf(mutant), { today });
    for (const { title, edits, diagnosis } of fixesAt(workspace, uriOf(mutant), 0, text.length, { today })) {
      offered++;
      const mended = applyEdits(text, edits);
      const after = check(workspaceWith(mutant, mended), uriOf(mutant), { today });
      const of = `${mutant.file}, ${mutant.kind} ${mutant.about}: ${title}`;
      expect(caused(before, after), of).toEqual([]);
      const isIt = (one: Diagnosis): boolean =>
        one.finding === diagnosis.finding &&
        one.operation === diagnosis.operation &&
        one.connector === diagnosis.connector;
      expect(after.filter(isIt).length, of).toBeLessThan(before.filter(isIt).length);
      shown.push(`## ${of}\n${diagnosis.message}\n${difference(text, mended)}`);
    }
  }
  expect(offered).toBeGreaterThan(some.length / 2);
  if (sampleFile !== undefined) {
    const all = fc.sample(fc.shuffledSubarray(shown, { minLength: Math.min(30, shown.length) }), {
      numRuns: 1,
      seed,
    });
    writeFileSync(sampleFile, all[0]!.slice(0, 30).join('\n'));
  }
});

test('fixing everything leaves no finding that has a fix, and causes none', () => {
  for (const mutant of some) {
    const workspace = workspaceWith(mutant);
    const uri = uriOf(mutant);
    const before = check(workspace, uri, { today });
    const { text } = fixAll(workspace, uri, { unsafe: true }, { today });
    const mended = workspaceWith(mutant, text);
    const of = `${mutant.file}, ${mutant.kind} ${mutant.about}`;
    expect(caused(before, check(mended, uri, { today })), of).toEqual([]);
    expect(fixAll(mended, uri, { unsafe: true }, { today }).edits, of).toEqual([]);
  }
});

const difference = (before: string, after: string): string =>
  createTwoFilesPatch('a', 'b', before, after, '', '', { context: 1 }).split('\n').slice(4).join('\n');
