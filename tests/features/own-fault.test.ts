import { afterEach, describe, expect, test, vi } from 'vitest';
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
    findings.find((one) => one.id === id)!,
    'check',
  ).mockImplementation(() => {
    throw new TypeError('no such thing');
  });
};

afterEach(() => vi.restoreAllMocks());

describe('a finding that fails', () => {
  test.each(failing)('%s is told as a fault of the checker, and the others are told as ever', (id) => {
    const before = told();
    fail(id);
    const now = told();
    const own = now.filter(({ message }) => message.includes('Plugward failed'));
    expect(own).toMatchObject([
      {
        finding: id,
        severity: 'error',
        message: expect.stringContaining(`looked for ${id}, so nothing is said`),
      },
    ]);
    expect(own[0]!.message).toContain('TypeError: no such thing');
    const others = ({ finding }: Diagnosis): boolean => finding !== id && finding !== 'acceptance-unmatched';
    expect(now.filter(others)).toEqual(before.filter(others));
  });

  test('is looked for again when it is asked again', () => {
    const workspace = sampleWorkspace();
    fail('exposed');
    const failed = check(workspace, uri, settings).filter(({ message }) =>
      message.includes('Plugward failed'),
    );
    expect(failed).toHaveLength(1);
    vi.restoreAllMocks();
    expect(check(workspace, uri, settings)).toEqual(told());
  });

  test('has no fix, and keeps none from being offered', () => {
    const workspace = sampleWorkspace();
    fail('late-cover');
    const all = check(workspace, uri, settings);
    for (const { range } of all) {
      for (const fix of fixesAt(workspace, uri, range.start, range.end, settings))
        expect(fix.finding).not.toBe('late-cover');
    }
  });
});
