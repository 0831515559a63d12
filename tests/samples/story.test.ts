import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import { compare } from '../../server/src/compare/compare.ts';
import type { Comparison, Version } from '../../server/src/compare/compare.ts';
import { caution } from '../../server/src/features/caution.ts';
import { check } from '../../server/src/features/check.ts';
import { reasonsPage } from '../../server/src/report/print/reasons.ts';
import { supplement } from '../../server/src/report/print/supplement.ts';
import { samples, samplesFolder, sampleUri, workspaceOf } from '../support/files.ts';

/** One plan in three versions: before anything was opened, opened, done. */
const names = ['1-before-opening', '2-opened', '3-done'].map((name) => `story/${name}.repair-plan.yaml`);
const today = '2026-10-20';
const story = Object.fromEntries(
  names.map((name) => [name, readFileSync(path.join(samplesFolder, name), 'utf8')]),
);
const workspace = workspaceOf({ ...samples(), ...story }, sampleUri(''));
for (const uri of workspace.unknownPhotos()) {
  workspace.markPhoto(
    uri,
    readdirSync(path.join(samplesFolder, 'story/photos')).includes(path.basename(uri)),
  );
}
const versions = names.map((name): Version => {
  const uri = sampleUri(name);
  return {
    plan: workspace.plan(uri)!,
    findings: check(workspace, uri, { today }),
    text: (one) => workspace.text(one),
  };
});
const seen = (page: string): string =>
  page
    .replaceAll(/<style>[^]*?<\/style>|<[^>]*>/g, ' ')
    .replaceAll(/\s+/g, ' ')
    .trim();
const between = (from: number, to: number): Comparison => compare(versions[from]!, versions[to]!);

describe('the story of one plan', () => {
  test.each([
    // Nothing is covered yet, so no cover is photographed.
    [0, ['evidence-missing op30', 'evidence-missing op110']],
    // Nobody has signed for the inlet, no contact is measured, the covers are still on.
    [
      1,
      [
        'unqualified op50',
        'softening-voltage charge-inlet',
        'evidence-missing op110',
        'evidence-missing op140',
      ],
    ],
    [2, []],
  ])('version %i has the findings of its day', (at, expected) => {
    const found = versions[at]!.findings.map(
      ({ finding, operation, connector }) => `${finding} ${operation ?? connector ?? ''}`,
    );
    expect(found.sort()).toEqual([...expected].sort());
  });

  test('opening it adds the inlet, the sensor and making safe', () => {
    const { added, removed, money, exposures } = between(0, 1);
    expect(removed.map(({ id }) => id)).toEqual(['op15']);
    expect(new Set(added.map(({ planStep }) => planStep.id))).toEqual(
      new Set('op12 op50 op52 op54 op140 op142 op145 op146 op147 op148 op190'.split(' ')),
    );
    expect(exposures.map(({ connector }) => connector)).toEqual(['charge-inlet', 'parking-sensor-left']);
    // By hand: 2.5 h at 96.00 are 240.00; two plugs at 14.50, two strips at 0.60, two bags at 0.90 are 32.00.
    expect([money.net!.toFixed(2), money.gross!.toFixed(2)]).toEqual(['272.00', '326.40']);
  });

  test('finishing it adds the cleaning alone', () => {
    const { added, removed, changed, order, money, readings, findings } = between(1, 2);
    expect([added.map(({ id }) => id), removed, changed, order]).toEqual([['op143', 'op144'], [], [], []]);
    // By hand: 0.3 h at 96.00 are 28.80, and a shot of cleaner is 1.20.
    expect([money.net!.toFixed(2), money.gross!.toFixed(2)]).toEqual(['30.00', '36.00']);
    expect(readings.map(({ new: now, says }) => `${now!}: ${says!}`)).toEqual([
      'charge-inlet, op147: method four-wire, value 0.27 mΩ, uncertainty 0.02 mΩ, at 21 °C, by technician-a',
      'charge-inlet, insulation, op148: value 14 MΩ, uncertainty 1 MΩ, by technician-a',
    ]);
    expect([findings.fresh, findings.kept]).toEqual([[], []]);
  });

  test('its two supplements come to what the versions differ by', () => {
    const print = (from: number, to: number): string =>
      seen(supplement(between(from, to), { today, caution, old: names[from]!, new: names[to]! }));
    const [first, second] = [print(0, 1), print(1, 2)];
    expect(first).toContain('Difference in EUR +326.40');
    expect(first).toContain(
      'The flange behind the charge inlet is bent, which showed only with the trim off.',
    );
    expect(second).toContain('Difference in EUR +36.00');
    expect(second).toContain('Dirt was found on the contacts of the charge inlet');
    expect(second).not.toContain('The flange');
    // A document that a line cites is among the references, so that the payer can look it up.
    expect(second).toMatch(/References .*Rear end of the Kestrel/);
    const both = between(0, 2).money;
    expect(both.gross!.toFixed(2)).toBe('362.40');
  });

  test('the finished version is judged on the day it was finished, whatever day it is', () => {
    const late = (name: string): string[] =>
      check(workspace, sampleUri(name), { today: '2029-01-01' }).map(({ finding }) => finding);
    expect(late(names[2]!)).toEqual([]);
    expect(late(names[1]!)).toContain('source-stale');
  });

  test('every line of the last version says why it is owed', () => {
    const page = seen(reasonsPage(versions[2]!.plan, { today, caution }));
    expect(page.split(' Why ').length - 1).toBe(versions[2]!.plan.labour.length);
    expect(page).not.toContain('◆');
  });
});

test('a line that has no amount is never told as no difference', () => {
  const text = story[names[1]!]!;
  const version = (from: string): Version => {
    const own = workspaceOf({ ...samples(), [names[1]!]: from }, sampleUri(''));
    const uri = sampleUri(names[1]!);
    return { plan: own.plan(uri)!, findings: [], text: (one) => own.text(one) };
  };
  const open = text.replace('task: re-energise\n    hours: 0.5', 'task: re-energise\n    hours: fill-in');
  const comparison = compare(version(text), version(open));
  const page = seen(supplement(comparison, { today, caution, old: 'first', new: 'second' }));
  expect(page).toMatch(/0\.5 h, 48\.00 .*\?/);
  expect(page).toContain('Difference in EUR, without 1 line that has no amount −57.60');
});
