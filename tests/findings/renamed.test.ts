import { expect, test } from 'vitest';
import { find } from '../../server/src/features/check.ts';
import { explain, isFinding } from '../../server/src/features/explain.ts';
import { workspaceOf } from '../support/files.ts';
import { exampleFiles, wholePlan } from '../support/frame.ts';

const opened = `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
`;
const accepted = (id: string): string => `${opened}accepted:
  - { finding: ${id}, at: op20, reason: Closed in the next plan., by: Lead technician, until: 2027-03-01 }
`;

/** What is found of an opening that the plan leaves open, and of the names in the plan. */
function found(lines: string, sheet = ''): string[] {
  const name = 'one.repair-plan.yaml';
  const files: Record<string, string> = { ...exampleFiles, [name]: wholePlan(lines) };
  files['example.rate-sheet.yaml'] += sheet;
  return find(workspaceOf(files), `file:///plans/${name}`, { today: '2027-02-10' })
    .map(({ diagnosis }) => diagnosis.finding)
    .filter((id) => ['never-closed', 'never-ends', 'unknown-id', 'acceptance-unmatched'].includes(id));
}

test.each(['never-closed', 'never-ends'])('%s takes the finding out of a plan', (id) => {
  expect(found(opened)).toEqual(['never-closed']);
  expect(found(accepted(id))).toEqual([]);
});

test.each(['never-closed', 'never-ends'])('a rate sheet switches it off as %s', (id) => {
  expect(found(opened, `plugward:\n  severities: { ${id}: off }\n`)).toEqual([]);
});

test.each([
  ['isolation-unproven', 'insulation-unproven'],
  ['isolation-low', 'insulation-low'],
  ['never-ends', 'never-closed'],
])('%s is explained as %s', (old, today) => {
  expect(isFinding(old)).toBe(true);
  expect(explain(old)).toMatch(new RegExp(`^# ${today}:`));
});

test('a name that no finding ever had is unknown', () => {
  expect(isFinding('isolation')).toBe(false);
  expect(found(accepted('never-end'))).toContain('unknown-id');
});
