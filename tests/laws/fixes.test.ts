import fc from 'fast-check';
import { expect, test, vi } from 'vitest';
import { applyEdits } from '../../server/src/text/span.ts';
import { check } from '../../server/src/features/check.ts';
import type { Diagnosis } from '../../server/src/features/check.ts';
import { fixAll, fixesAt } from '../../server/src/features/fixes.ts';
import { findingById } from '../../server/src/findings/registry.ts';
import { workspaceOf } from '../support/files.ts';
import type { CleanPlan } from './clean-plans.ts';
import { damagedPlans } from './damage.ts';
import { patience, runs, today } from './runs.ts';
import { fixtures } from './texts.ts';

vi.setConfig({ testTimeout: patience });

const settings = { today };
const uriOf = ({ name }: CleanPlan): string => `file:///plans/${name}`;

/** Read from nothing: no cache of an earlier reading can help. */
const checked = (plan: CleanPlan, text: string): Diagnosis[] =>
  check(workspaceOf({ ...plan.files, [plan.name]: text }), uriOf(plan), settings);

/** What a finding is about, wherever it stands. */
const about = ({ finding, operation, connector, message }: Diagnosis): string =>
  [finding, operation ?? '', connector ?? '', (operation ?? connector) ? '' : message].join(' ');
const times = (found: readonly Diagnosis[], key: string): number =>
  found.filter((diagnosis) => about(diagnosis) === key).length;
const isWriting = (finding: string): boolean => ['text', 'names'].includes(findingById.get(finding)!.ground);
/** Opening and other work on a system that may be live are one cause, told at the first step for all that lack the same. */
const cause = ({ finding }: Diagnosis): string => (finding === 'live-opening' ? 'live-work' : finding);
const newErrors = (before: readonly Diagnosis[], after: readonly Diagnosis[]): string[] => {
  const known = new Set(before.map(about));
  const inGroup = (diagnosis: Diagnosis): boolean =>
    before.some(
      (other) =>
        cause(other) === cause(diagnosis) && other.also?.includes(diagnosis.operation ?? '') === true,
    );
  return after
    .filter(
      (diagnosis) => diagnosis.severity === 'error' && !known.has(about(diagnosis)) && !inGroup(diagnosis),
    )
    .map(({ finding, message }) => `${finding}: ${message}`);
};
const notes = (text: string): string[] => text.match(/note-\d+/g) ?? [];
const loneBreaks = (text: string): number => (text.match(/(?<!\r)\n/g) ?? []).length;

/** Tries every fix that is offered in a text. @returns how many there were. */
function tryFixes(plan: CleanPlan): number {
  const text = plan.files[plan.name]!;
  const offered = fixesAt(workspaceOf(plan.files), uriOf(plan), 0, text.length, settings);
  const before = checked(plan, text);
  for (const { title, finding, edits, diagnosis } of offered) {
    const fixed = applyEdits(text, edits);
    const after = checked(plan, fixed);
    const key = about(diagnosis);
    expect(times(after, key), `${title}: ${key} is gone`).toBeLessThan(times(before, key));
    if (!isWriting(finding)) expect(newErrors(before, after), title).toEqual([]);
    expect(loneBreaks(fixed), title).toBe(text.includes('\r\n') ? 0 : fixed.split('\n').length - 1);
    // Only what takes an entry out may take the comment on its line along.
    const taken = new Set(edits.flatMap(({ start, end }) => notes(text.slice(start, end))));
    const lost = [...taken].filter((note) => !fixed.includes(note));
    if (!/^(Remove|Take) /.test(title)) expect(lost, title).toEqual([]);
    const kept = notes(text).filter((note) => !lost.includes(note));
    expect(notes(fixed).sort(), title).toEqual(kept.sort());
  }
  return offered.length;
}

test('a fix removes its finding, causes no new error and changes nothing else', () => {
  let offered = 0;
  fc.assert(
    fc.property(damagedPlans, (plan) => {
      offered += tryFixes(plan);
    }),
    runs(40),
  );
  expect(offered).toBeGreaterThan(20);
});

test('and so does every fix offered in a fixture', () => {
  const { numRuns, seed } = runs(100);
  const stride = Math.max(1, Math.floor(fixtures.length / numRuns));
  const some = fixtures.filter((_, i) => i % stride === seed % stride);
  const offered = some.map(({ name, text, files }) => tryFixes({ name, files: { ...files, [name]: text } }));
  expect(offered.reduce((sum, one) => sum + one, 0)).toBeGreaterThan(some.length / 2);
});

test('"fix all" causes no new error, and a second run changes nothing', () => {
  fc.assert(
    fc.property(damagedPlans, (plan) => {
      const workspace = workspaceOf(plan.files);
      const text = plan.files[plan.name]!;
      const before = checked(plan, text);
      const fixed = fixAll(workspace, uriOf(plan), { unsafe: true }, settings);
      const after = checked(plan, fixed.text);
      const writing = before.some(({ finding }) => isWriting(finding));
      if (!writing) expect(newErrors(before, after)).toEqual([]);
      expect(applyEdits(text, fixed.edits)).toBe(fixed.text);
      workspace.set(uriOf(plan), fixed.text);
      expect(fixAll(workspace, uriOf(plan), { unsafe: true }, settings).edits).toEqual([]);
      expect(loneBreaks(fixed.text)).toBe(text.includes('\r\n') ? 0 : fixed.text.split('\n').length - 1);
    }),
    runs(25),
  );
});
