import { readFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { parse } from 'yaml';
import { check } from '../../server/src/features/check.ts';
import { workspaceOf } from '../support/files.ts';
import { wholePlan } from '../support/frame.ts';

interface Row {
  readonly class: readonly string[];
  readonly tasks: readonly string[];
  readonly cells: Readonly<Record<string, string>>;
}
const rows = parse(readFileSync(path.join(import.meta.dirname, 'verdicts.yaml'), 'utf8')) as Row[];

const safe = ['isolate', 'lock-out', 'wait, time: 10 min', 'prove-dead, meter-proven: before-and-after'];
/** What is done before the step, by the state it leads to. */
const before: Readonly<Record<string, readonly string[]>> = {
  dead: ['shut-down', ...safe],
  'dead-12v-off': ['shut-down', 'battery-12v-off', ...safe],
  'not-proven': ['shut-down', ...safe.slice(0, 3)],
  powered: ['power-up'],
  '12v-off': ['shut-down', 'battery-12v-off', 'wait, time: 10 min'],
  '12v-on': ['shut-down'],
};
/** The findings about the state of the vehicle. */
const aboutState: ReadonlySet<string> = new Set([
  'live-opening',
  'live-work',
  'restraint-live',
  'igniter-measured',
  '48-volt-live',
  'line-full',
  'isolating-unprotected',
  'insulation-on-electronics',
  'earth-powered',
]);

const cells = rows.flatMap((row) =>
  row.class.flatMap((kind) =>
    row.tasks.flatMap((task) =>
      Object.entries(row.cells).map(([state, verdict]) => [task, kind, state, verdict] as const),
    ),
  ),
);

test.each(cells)('%s of %s, %s: %s', (task, kind, state, verdict) => {
  const steps = before[state]!.map((step, i) => `  - { id: op${10 + i}, do: ${step} }\n`).join('');
  const text = `connectors:
  - { id: it, class: ${kind}, zone: cabin }
operations:
${steps}  - { id: op90, do: ${task}, connectors: [it] }
`;
  const workspace = workspaceOf({ 'one.repair-plan.yaml': wholePlan(text) });
  const found = check(workspace, 'file:///plans/one.repair-plan.yaml', { today: '2027-02-10' })
    .filter(({ finding, operation }) => operation === 'op90' && aboutState.has(finding))
    .map(({ finding }) => finding);
  expect([...new Set(found)]).toEqual(verdict === 'ok' ? [] : [verdict]);
});
