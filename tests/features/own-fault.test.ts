import { afterEach, describe, expect, test, vi } from 'vitest';
import { lenses } from '../../server/src/features/lenses.ts';
import { status } from '../../server/src/features/status.ts';
import { SnapshotPlan } from '../../server/src/plan/plan.ts';
import { check } from '../../server/src/features/check.ts';
import type { Diagnosis } from '../../server/src/features/check.ts';
import { fixesAt } from '../../server/src/features/fixes.ts';
import { findings } from '../../server/src/findings/registry.ts';
import { sampleUri, sampleWorkspace } from '../support/files.ts';

const uri = sampleUri('quarter-panel-faulty.repair-plan.yaml');
const settings = { today: '2027-02-10' };
const told = (): Diagnosis[] => check(sampleWorkspace(), uri, settings);

/** Findings of every ground, some asked about a whole plan and some about one connector at a time. */
const failing = [
  'key-unknown',
  'unknown-id',
  'order-cycle',
  'labour-missing',
  'live-opening',
  'exposed',
  'late-cover',
];

const fail = (id: string): void => {
  vi.spyOn(
    findings.find((findingRule) => findingRule.id === id)!,
    'check',
  ).mockImplementation(() => {
    throw new TypeError('no such thing');
  });
};

afterEach(() => vi.restoreAllMocks());

describe('a finding that fails', () => {
  test.each(failing)(
    'a failure of %s is reported as a checker failure; all other findings are unaffected',
    (id) => {
      const before = told();
      fail(id);
      const now = told();
      const own = now.filter(({ message }) => message.includes('Plugward failed'));
      expect(own).toMatchObject([
        {
          finding: id,
          severity: 'error',
          message: expect.stringContaining(`failed while checking for ${id}, so that check is missing`),
        },
      ]);
      expect(own[0]!.message).toContain('TypeError: no such thing');
      const others = ({ finding }: Diagnosis): boolean =>
        finding !== id && finding !== 'acceptance-unmatched';
      expect(now.filter(others)).toEqual(before.filter(others));
    },
  );

  test('is evaluated again on the next request', () => {
    const workspace = sampleWorkspace();
    fail('exposed');
    const failed = check(workspace, uri, settings).filter(({ message }) =>
      message.includes('Plugward failed'),
    );
    expect(failed).toHaveLength(1);
    vi.restoreAllMocks();
    expect(check(workspace, uri, settings)).toEqual(told());
  });

  test('has no fix, and does not suppress other fixes', () => {
    const workspace = sampleWorkspace();
    fail('late-cover');
    const all = check(workspace, uri, settings);
    for (const { range } of all) {
      for (const fix of fixesAt(workspace, uri, range.start, range.end, settings))
        expect(fix.finding).not.toBe('late-cover');
    }
  });
});

describe('a finding that cannot be rendered', () => {
  test('appears at its position as an error that names it', () => {
    const before = told();
    const late = findings.find(({ id }) => id === 'late-cover')!;
    const { check: real } = late;
    vi.spyOn(late, 'check').mockImplementation(function* (subject) {
      for (const report of real(subject)) {
        const words = (): string => {
          throw new TypeError('no such word');
        };
        yield { ...report, message: Object.assign(Object.create(report.message), { in: words }) };
      }
    });
    const now = told();
    expect(now).toHaveLength(before.length);
    const failed = now.filter(({ message }) => message.includes('failed to say why'));
    expect(failed.length).toBeGreaterThan(0);
    for (const diagnosis of failed) {
      expect(diagnosis).toMatchObject({
        severity: 'error',
        message: expect.stringContaining(diagnosis.finding),
      });
      expect(
        before.some(
          ({ finding, range }) => finding === diagnosis.finding && range.start === diagnosis.range.start,
        ),
      ).toBe(true);
    }
  });
});

describe('a check that fails as a whole', () => {
  test('is reported at the start of the file, in its lens and its status', () => {
    vi.spyOn(SnapshotPlan.prototype, 'accepted', 'get').mockImplementation(() => {
      throw new TypeError('no such thing');
    });
    expect(told()).toMatchObject([
      { severity: 'error', message: expect.stringMatching(/Plugward failed on this file.*no such thing/) },
    ]);
    const workspace = sampleWorkspace();
    expect(lenses(workspace, uri, settings).map(({ title }) => title)).not.toContain('no findings');
    expect(status(workspace, uri, settings)).toMatchObject({
      grave: true,
      text: expect.stringContaining('1 finding'),
    });
  });
});
