/** The small invented shop in which the examples of the findings' pages and the fixtures play. */
export const exampleFiles: Readonly<Record<string, string>> = {
  'example.rate-sheet.yaml': `rate-sheet: example
currency: EUR
sources:
  - { id: T1, title: Time study (invented), publisher: shop }
rates:
  - { id: electrical, per-hour: '96.00' }
times:
  - { task: disconnect, hours: 0.3, rate: electrical, basis: not-included, reference: T1 }
  - { task: cover, hours: 0.2, per: connector, rate: electrical, basis: not-included, reference: T1 }
consumables:
  - { id: dummy-plug, kind: dummy-plug, non-conductive: true, high-visibility: true, charged: false }
  - { id: orange-tape, kind: tape, non-conductive: true, high-visibility: true, price: '0.60', unit: strip }
  - { id: clear-tape, kind: tape }
  - { id: tied-bag, kind: bag, tied: true, price: '0.90', unit: piece }
  - { id: open-bag, kind: bag, price: '0.40', unit: piece }
  - { id: masking-paper, kind: paper, price: '0.30', unit: sheet }
  - { id: film, kind: film }
  - { id: o-ring, kind: seal, charged: false }
  - { id: compressor-oil, kind: oil, non-conductive: true, charged: false }
  - { id: belt-oil, kind: oil, charged: false }
  - { id: dry-cleaner, kind: cleaner, non-conductive: true, charged: false }
`,
  'strict.rate-sheet.yaml': `rate-sheet: strict
currency: EUR
plugward:
  photos: [cover]
  sign-offs: [lead-technician, high-voltage-technician]
  sources-kept-for: 180 d
`,
  'reasons.rate-sheet.yaml': `rate-sheet: reasons
currency: EUR
plugward: { reasons: true }
`,
  'example.connector-list.yaml': `connector-list: example
connectors:
  - { id: motor-plug, class: high-voltage-power, zone: motor-bay, maker-cover: not-stated }
`,
  'lax.rate-sheet.yaml': `rate-sheet: lax
currency: EUR
plugward: { severities: { live-opening: 'off' } }
`,
  'people.rate-sheet.yaml': `rate-sheet: people
currency: EUR
people:
  - { id: technician-a, may: [high-voltage, restraint], until: 2027-02-10, gloves-until: 2027-02-10 }
  - { id: technician-b, may: [restraint], gloves-until: 2027-02-09 }
  - { id: climate-d, may: [refrigerant], until: 2027-02-09 }
`,
  'tasks.rate-sheet.yaml': `rate-sheet: tasks
currency: EUR
tasks:
  - { id: blast, raises: [dust], needs: [12v-off, protected] }
  - { id: pull-service-plug, makes: [isolated] }
  - { id: rouse, ends: [isolated, 12v-off] }
  - { id: rewire }
  - { id: look-over, needs: [] }
  - { id: splice-cable, needs: [high-voltage-dead] }
`,
  'inspect-all.shop-procedure.yaml': `procedure: inspect-all
parameters:
  - { name: technician, kind: person }
  - { name: connectors, kind: connectors }
  - { name: pause, kind: time, default: 5 min }
operations:
  - { id: look, do: inspect, connectors: $connectors, by: $technician, time: $pause }
`,
  'round.shop-procedure.yaml': `procedure: round
operations:
  - { id: again, follow: round }
`,
};

const defaults: readonly (readonly [key: string, text: string])[] = [
  ['plan', 'plan: EX-1\n'],
  [
    'vehicle',
    'vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 400 V }\n',
  ],
  ['uses', 'uses: [./example.rate-sheet.yaml]\n'],
  [
    'connectors',
    `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, maker-cover: dummy-plug }
  - { id: park-sensor, class: sensor, zone: quarter-left }
`,
  ],
];

/** A whole plan from a few lines: what they leave out is added behind them, so that their line numbers stay. */
export function wholePlan(lines: string): string {
  const missing = defaults.filter(([key]) => !new RegExp(`^${key}:`, 'm').test(lines));
  return lines + (lines.endsWith('\n') ? '' : '\n') + missing.map(([, text]) => text).join('');
}

/** A short plan in block and flow style, with comments, for what is asked about the places of a text. */
export const shortPlan = `plan: X-1
title: A short one
# Two lines
# of comment.
uses:
  - ./example.rate-sheet.yaml
connectors:
  - id: inverter-dc
    class: high-voltage-power
    zone: rear-floor
    current: { steady: 300 A }
    resistance:
      limit: 1 mΩ
operations:
  - { id: op10, do: disconnect, connectors: [inverter-dc], time: 0.3 h }
  - id: op20
    do: cover
    connectors: [inverter-dc]
    using: dummy-plug
    after: [op10]
labour:
  - { for: op10, task: disconnect, hours: 0.3 }
`;
