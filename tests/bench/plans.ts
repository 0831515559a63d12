/**
 * Plans of any size for the benchmarks. They use the whole language: procedures, parallel branches, block and flow
 * style, comments, several zones and classes, labour, materials, readings. Deterministic.
 */

const zones = [
  'quarter-left',
  'quarter-right',
  'rear-floor',
  'luggage-space',
  'motor-bay',
  'front-left',
  'doors',
];
const classes = ['high-voltage-power', 'interlock', 'restraint', 'sensor', 'data', 'low-voltage', 'earth'];
const dirty = ['cut', 'grind', 'weld', 'sand', 'prime', 'paint', 'polish'];

interface Round {
  readonly connectors: string[];
  readonly operations: string[];
  readonly labour: string[];
  readonly materials: string[];
  readonly measurements: string[];
}

/** One round of a repair: a connector is opened, covered, worked around, uncovered, closed and proven. */
function round(n: number): Round {
  const id = `c${n}`;
  const kind = classes[n % classes.length]!;
  const zone = zones[n % zones.length]!;
  const op = (step: number): string => `op${n}-${step}`;
  const who = n % 2 === 0 ? 'technician-a' : 'technician-b';
  const power = kind === 'high-voltage-power';
  const connectors = power
    ? [
        `  - id: ${id}`,
        `    class: ${kind}`,
        `    zone: ${zone}`,
        '    current: { steady: 180 A, peak: 520 A, peak-time: 10 s }',
        '    resistance: { as-new: 0.15 mΩ, limit: 0.5 mΩ }',
        '    maker-cover: dummy-plug',
      ]
    : [`  - { id: ${id}, class: ${kind}, zone: ${zone}, maker-cover: not-stated }`];
  const flow = (text: string): string => `  - { ${text}, by: ${who} }`;
  const operations = [
    `  # Round ${n}: ${zone}`,
    flow(`id: ${op(1)}, do: disconnect, connectors: [${id}], time: 0.1 h`),
    flow(
      `id: ${op(2)}, do: cover, connectors: [${id}], using: ${power ? 'dummy-plug' : '[orange-tape, tied-bag]'}, time: 0.1 h`,
    ),
    `  - id: ${op(3)}`,
    `    do: ${dirty[n % dirty.length]!}`,
    `    zone: ${zone}`,
    `    after: [${op(2)}]`,
    `    time: 0.5 h   # by the clock`,
    flow(`id: ${op(4)}, do: consult, after: [${op(2)}], note: Beside the work of ${who}`),
    flow(`id: ${op(5)}, do: uncover, connectors: [${id}], after: [${op(3)}, ${op(4)}]`),
    flow(`id: ${op(6)}, do: ${kind === 'earth' ? 'clean' : 'inspect'}, connectors: [${id}]`),
    flow(`id: ${op(7)}, do: reconnect, connectors: [${id}]`),
    flow(`id: ${op(8)}, do: check-seated, zone: ${zone}`),
  ];
  const line = (step: number, task: string): string =>
    `  - { for: ${op(step)}, task: ${task}, hours: 0.1, rate: electrical, basis: not-included, reference: S1 }`;
  return {
    connectors,
    operations,
    labour: [
      line(1, 'disconnect'),
      line(2, 'cover'),
      line(5, 'uncover'),
      line(6, kind === 'earth' ? 'clean' : 'inspect'),
      line(7, 'reconnect'),
      line(8, 'check-seated'),
    ],
    materials: power
      ? [`  - { for: ${op(2)}, item: dummy-plug, quantity: 2 }`]
      : [
          `  - { for: ${op(2)}, item: orange-tape, quantity: 2 }`,
          `  - { for: ${op(2)}, item: tied-bag, quantity: 2 }`,
        ],
    measurements: power
      ? [
          `  - { connector: ${id}, after: ${op(7)}, method: four-wire, value: 0.31 mΩ, uncertainty: 0.02 mΩ, at: 22 °C }`,
        ]
      : [],
  };
}

/** A plan of about `lines` lines, self-contained but for the rate sheet `bench.rate-sheet.yaml`. */
export function planOf(lines: number): string {
  const head = `# Generated for a benchmark; invented.
plan: BENCH-1
title: A plan of about ${lines} lines
vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 400 V }
uses: [./bench.rate-sheet.yaml]
sources:
  - { id: S1, title: Invented, publisher: shop, edition: 1, consulted: 2027-01-11 }
heat-budget: 20 W
`.split('\n');
  const rounds: Round[] = [];
  let count = head.length + 8;
  for (let n = 1; count < lines; n++) {
    const next = round(n);
    rounds.push(next);
    count += Object.values(next).reduce((sum: number, part: string[]) => sum + part.length, 0);
  }
  const section = (name: keyof Round): string[] => {
    const all = rounds.flatMap((one) => one[name]);
    return all.length > 0 ? [`${name}:`, ...all, ''] : [];
  };
  return [
    ...head,
    ...section('connectors'),
    ...section('operations'),
    ...section('labour'),
    ...section('materials'),
    ...section('measurements'),
  ].join('\n');
}

/** A later version of such a plan: steps are dropped and moved, one in eleven lines of the bill has other hours. */
export function laterVersionOf(plan: string): string {
  const lines = plan
    .split('\n')
    .filter((line, i) => i % 7 !== 0 || !line.includes('do: check-seated'))
    .map((line, i) => (i % 11 === 0 ? line.replace('hours: 0.1', 'hours: 0.2') : line));
  const movable = [...lines.keys()].filter((i) => /^ {2}- \{ id: op\d+-[67]/.test(lines[i]!));
  for (let at = 10; at < movable.length; at += 40) {
    const [line] = lines.splice(movable[at]!, 1);
    lines.splice(movable[at]! - 6, 0, line!);
  }
  return lines.join('\n');
}

export const benchSheet = `rate-sheet: bench
currency: EUR
rates:
  - { id: electrical, per-hour: '96.00' }
times:
  - { task: disconnect, hours: 0.1, rate: electrical, basis: not-included }
consumables:
  - { id: dummy-plug, kind: dummy-plug, non-conductive: true, high-visibility: true, price: '14.50', unit: piece }
  - { id: orange-tape, kind: tape, non-conductive: true, high-visibility: true, price: '0.60', unit: strip }
  - { id: tied-bag, kind: bag, tied: true, price: '0.90', unit: piece }
`;
