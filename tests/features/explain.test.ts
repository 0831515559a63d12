import { expect, test } from 'vitest';
import { explain } from '../../server/src/features/explain.ts';

test('the page of an error about the work tells of acceptance in one plan, and of no way to lower it in the shop', () => {
  const page = explain('live-opening')!;
  expect(page).toContain('accepted:\n  - { finding: live-opening');
  expect(page).not.toContain('severities:');
  expect(page).toContain('For the whole shop it stays an error: `errors-lowered` tells');
});

test('the page of an error of the text tells of neither', () => {
  for (const id of ['order-cycle', 'value-wrong', 'errors-lowered']) {
    const page = explain(id)!;
    expect(page).not.toContain('accepted:\n');
    expect(page).not.toContain('severities:');
    expect(page).toContain('It is corrected, not accepted');
  }
});

test('the page of a warning or of a finding about the bill tells of both', () => {
  for (const id of ['proof-stale', 'labour-missing']) {
    expect(explain(id)).toContain(`accepted:\n  - { finding: ${id}`);
    expect(explain(id)).toContain(`severities: { ${id}: information }`);
  }
});

test('what a page calls right is told to be an excerpt where hands may follow it', () => {
  expect(explain('not-reconnected')).toMatch(
    /## Right\n\n```yaml\n[^`]*```\n\nBoth are excerpts for this finding alone/,
  );
  expect(explain('labour-missing')).not.toContain('Both are excerpts');
});
