import { readFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { parse } from 'yaml';
import { check } from '../../server/src/features/check.ts';
import { root, workspaceOf } from '../support/files.ts';

interface Clean {
  readonly plan: string;
  readonly tells?: readonly string[];
  readonly propulsion: string;
  readonly vehicle?: string;
  /** Where the traction battery sits; under the floor where absent. */
  readonly battery?: string;
  readonly connectors?: string;
  /** Rows of the shop's own tasks. */
  readonly tasks?: string;
  readonly text: string;
}
const plans = parse(readFileSync(path.join(import.meta.dirname, 'clean.yaml'), 'utf8')) as Clean[];
const sheet = 'training-bay.rate-sheet.yaml';
const shop = readFileSync(path.join(root, 'tests/laws/plans', sheet), 'utf8');

const frame = ({
  propulsion,
  vehicle,
  battery = 'underbody',
  connectors,
  tasks,
}: Clean): string => `plan: CL-1
vehicle: { description: Kestrel (invented), propulsion: ${propulsion}, system-voltage: 400 V, voltage-kind: direct, battery-zone: ${battery}, discharge-wait: 5 min, restraint-wait: 5 min, cable-route: S1, battery-distance: S1${vehicle ? `, ${vehicle}` : ''} }
uses: [./${sheet}${tasks ? ', ./own.rate-sheet.yaml' : ''}]
sources:
  - { id: S1, title: Kestrel (invented), publisher: vehicle-maker, consulted: 2027-02-03 }
sign-offs:
  - { role: high-voltage-technician, name: Technician A, date: 2027-02-05 }
connectors:
  - { id: hv, class: high-voltage-power, zone: rear-floor, maker-cover: dummy-plug, lock: true, resistance: { as-new: 0.2 mΩ, limit: 0.5 mΩ }, source: S1 }
  - { id: il, class: interlock, zone: rear-floor, maker-cover: not-stated, source: S1 }
  - { id: bag, class: restraint, zone: cabin, maker-cover: not-stated, lock: true, source: S1 }
  - { id: cool, class: fluid-line, medium: coolant, zone: motor-bay, maker-cover: not-stated, source: S1 }
  - { id: cond, class: fluid-line, medium: refrigerant, zone: front-left, maker-cover: not-stated, source: S1 }
  - { id: lamp, class: low-voltage, zone: luggage-space, maker-cover: not-stated, source: S1 }
  - { id: sens, class: sensor, zone: quarter-left, maker-cover: masking, source: S1 }
  - { id: earth, class: earth, zone: luggage-space, maker-cover: not-stated, source: S1 }
${connectors ? `  - ${connectors.replaceAll('\n', '\n  ')}\n` : ''}`;

test.each(plans.map((one) => [one.plan, one] as const))('%s: nothing else is told', (_, one) => {
  const own = `rate-sheet: own\ncurrency: EUR\ntasks:\n${one.tasks}`;
  const workspace = workspaceOf({
    [sheet]: shop,
    ...(one.tasks ? { 'own.rate-sheet.yaml': own } : {}),
    'one.repair-plan.yaml': frame(one) + one.text,
  });
  const found = check(workspace, 'file:///plans/one.repair-plan.yaml', { today: '2027-02-10' })
    .filter(({ finding }) => finding !== 'unused-id')
    .map(({ finding, severity, message }) => ({ finding, severity, message }));
  expect(found.map(({ finding }) => finding)).toEqual(one.tells ?? []);
  expect(found.filter(({ severity }) => severity === 'error')).toEqual([]);
});
