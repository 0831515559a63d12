import { readFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { parse } from 'yaml';
import { check } from '../../server/src/features/check.ts';
import { workspaceOf } from '../support/files.ts';
import { exampleFiles, wholePlan } from '../support/frame.ts';

interface Danger {
  readonly danger: string;
  readonly raises: string;
  readonly text: string;
  readonly files?: Readonly<Record<string, string>>;
}
const dangers = parse(readFileSync(path.join(import.meta.dirname, 'dangers.yaml'), 'utf8')) as Danger[];

const vehicle = `vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 400 V, battery-zone: underbody, discharge-wait: 5 min, restraint-wait: 5 min, cable-route: S1, battery-distance: S1 }
sources:
  - { id: S1, title: Kestrel (invented), publisher: vehicle-maker, consulted: 2027-02-03 }
connectors:
  - { id: hv, class: high-voltage-power, zone: underbody, maker-cover: dummy-plug, source: S1 }
  - { id: bag, class: restraint, zone: cabin, source: S1 }
  - { id: cool, class: fluid-line, medium: coolant, zone: underbody, source: S1 }
  - { id: cond, class: fluid-line, medium: refrigerant, zone: motor-bay, source: S1 }
`;
/** The sections that a plan does not write itself. */
const defaults = (text: string): string =>
  vehicle
    .split(/^(?=\w)/m)
    .filter((section) => !new RegExp(`^${/^\w+:/.exec(section)![0]}`, 'm').test(text))
    .join('');
/** Findings about papers, proofs and other things than the danger of these plans. */
const aside: ReadonlySet<string> = new Set(
  'unused-id unqualified labour-missing material-missing never-ends never-closed scan-stale scan-missing inspection-missing resistance-unmeasured isolation-unproven insulation-unmeasured unlocked knock-unchecked limit-missing measurement-missing'.split(
    ' ',
  ),
);

test.each(dangers.map(({ danger, ...one }) => [danger, one] as const))('%s', (_, { raises, text, files }) => {
  const workspace = workspaceOf({
    ...exampleFiles,
    ...files,
    'one.repair-plan.yaml': wholePlan(text + defaults(text)),
  });
  const found = check(workspace, 'file:///plans/one.repair-plan.yaml', { today: '2027-02-10' })
    .map(({ finding }) => finding)
    .filter((finding) => !aside.has(finding));
  expect(found).toContain(raises);
});
