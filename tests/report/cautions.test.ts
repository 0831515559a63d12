import { readFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { parse } from 'yaml';
import { cautionsFor } from '../../server/src/report/print/cautions.ts';
import { workspaceOf } from '../support/files.ts';
import { wholePlan } from '../support/frame.ts';

interface Row {
  readonly step: string;
  /** Tasks of steps that come before it. */
  readonly before?: readonly string[];
  readonly says?: string;
  readonly silent?: string;
  readonly propulsion?: string;
  /** The zone of the traction battery. */
  readonly battery?: string;
}
const rows = parse(readFileSync(path.join(import.meta.dirname, 'cautions.yaml'), 'utf8')) as Row[];

const connectors = `connectors:
  - { id: hv, class: high-voltage-power, zone: rear-floor }
  - { id: plug, class: high-voltage-power, zone: rear-floor, isolates: true }
  - { id: starter, class: 48-volt, zone: motor-bay }
  - { id: bag, class: restraint, zone: cabin }
  - { id: hose, class: fluid-line, medium: refrigerant, zone: motor-bay }
  - { id: water, class: fluid-line, medium: coolant, zone: motor-bay }
  - { id: filler, class: fluid-line, medium: petrol, zone: quarter-left }
  - { id: accumulator, class: fluid-line, medium: hydraulic, zone: front-left }
`;

const sheets = {
  'own.rate-sheet.yaml': 'rate-sheet: own\ncurrency: EUR\ntasks: [{ id: sleeve }]\n',
};

test.each(rows.map((row) => [row.step, row] as const))('%s', (_, row) => {
  const { step, before, says, silent, propulsion, battery } = row;
  const vehicle = `vehicle: { description: Kestrel (invented), propulsion: ${propulsion ?? 'plug-in-hybrid'}, system-voltage: 400 V, fuel-zone: luggage-space${battery === undefined ? '' : `, battery-zone: ${battery}`} }\n`;
  const earlier = (before ?? []).map((task, i) => `  - { id: op${i}, do: ${task} }\n`).join('');
  const text = wholePlan(
    `uses: [./own.rate-sheet.yaml]\n${connectors}${vehicle}operations:\n${earlier}  - { id: op10, ${step} }\n`,
  );
  const plan = workspaceOf({ ...sheets, 'a.repair-plan.yaml': text }).plan(
    'file:///plans/a.repair-plan.yaml',
  )!;
  const words = cautionsFor(plan, plan.operations.at(-1)!).map(({ text: caution }) =>
    String(caution).replaceAll(/<[^>]*>/g, ''),
  );
  if (says !== undefined) expect(words.join('\n')).toContain(says);
  if (silent !== undefined) expect(words.join('\n')).not.toContain(silent);
});
