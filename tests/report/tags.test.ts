import { expect, test } from 'vitest';
import { html } from '../../server/src/report/print/html.ts';
import { tags } from '../../server/src/report/print/tags.ts';
import { workspaceOf } from '../support/files.ts';
import { wholePlan } from '../support/frame.ts';

// Common practice, no source.
test.each([
  ['class: fluid-line, medium: petrol', 'No flame, spark or heater near. Do not open under pressure.'],
  ['class: fluid-line, medium: refrigerant', 'Refrigerant under pressure: certified person only.'],
  ['class: fluid-line, medium: hydraulic', 'Stored pressure. Do not open until it is relieved'],
  ['class: fluid-line, medium: compressed-air', 'Stored pressure. Do not open until it is relieved'],
  [
    'class: fluid-line, medium: coolant',
    'Do not open before it has cooled down, as the vehicle maker specifies.',
  ],
  ['class: fluid-line, medium: other', 'Do not close before inspection.'],
  ['class: fluid-line, medium: lpg', 'only by a person trained for gas vehicles.'],
  [
    'class: 48-volt',
    'Do not touch until the 48 V system is isolated and the vehicle maker&#39;s waiting time is over.',
  ],
  ['class: high-voltage-power', 'unless you are qualified and the system is proven dead.'],
  ['class: high-voltage-power', 'The half on the battery side can stay live even then.'],
  [
    'class: high-voltage-power, isolates: true',
    'live until proven dead: opening this plug is the isolation.',
  ],
  ['class: interlock', 'unless you are qualified and the system is proven dead.'],
  ['class: restraint', 'Do not touch until the 12 V battery is disconnected'],
  ['class: restraint', 'Never put a meter on it.'],
  ['class: pyrotechnic', 'Do not touch until the 12 V battery is disconnected'],
  ['class: sensor', 'Do not close before inspection.'],
])('the tag of a connector of %s warns: %s', (kind, warning) => {
  const text = wholePlan(
    `connectors:\n  - { id: one, ${kind}, zone: motor-bay }\noperations:\n  - { id: op10, do: disconnect, connectors: [one] }\n`,
  );
  const plan = workspaceOf({ 'a.repair-plan.yaml': text }).plan('file:///plans/a.repair-plan.yaml')!;
  expect(String(html`${tags(plan, 'HL-1')}`)).toContain(warning);
});
