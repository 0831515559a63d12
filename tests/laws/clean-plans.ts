import fc from 'fast-check';
import { Zones } from '../../server/src/plan/tables/zones.ts';

/**
 * Whole repairs with nothing to complain about: a few connectors of any class in any zone, two or three people,
 * branches that run side by side, procedures, block and flow style, comments. They are built from the rules of the
 * trade as the plan language states them (common practice, no source), not from the program's own tables.
 */
export interface CleanPlan {
  readonly files: Readonly<Record<string, string>>;
  readonly name: string;
}

const planName = 'generated.repair-plan.yaml';

type Class = (typeof classes)[number];
const classes = [
  'high-voltage-power',
  'interlock',
  'restraint',
  'sensor',
  'data',
  'low-voltage',
  'earth',
  'fluid-line',
] as const;
const zones = [
  'motor-bay',
  'front-left',
  'front-right',
  'cabin',
  'roof',
  'doors',
  'quarter-left',
  'quarter-right',
  'rear-floor',
  'luggage-space',
  'underbody',
] as const;
const dirtyWork = [
  'cut',
  'drill',
  'grind',
  'sand',
  'weld',
  'straighten',
  'fit-panel',
  'seal',
  'fill',
  'mask',
  'prime',
  'paint',
  'bake',
  'polish',
  'wash',
  'end-of-shift',
] as const;

interface Opened {
  readonly class: Class;
  readonly zone: (typeof zones)[number];
  readonly inList: boolean;
  readonly lock: boolean;
  readonly newSeal: boolean;
  readonly calibrate: boolean;
}

const opened: fc.Arbitrary<Opened> = fc.record({
  class: fc.constantFrom(...classes),
  zone: fc.constantFrom(...zones),
  inList: fc.boolean(),
  lock: fc.boolean(),
  newSeal: fc.boolean(),
  calibrate: fc.boolean(),
});

const work = fc.record({ task: fc.constantFrom(...dirtyWork), zone: fc.constantFrom(...zones) });

const choices = fc.record({
  connectors: fc.array(opened, { minLength: 1, maxLength: 5 }),
  neighbours: fc.array(fc.constantFrom(...zones), { maxLength: 2 }),
  body: fc.array(work, { minLength: 1, maxLength: 5 }),
  /** A second branch of dirty work, by someone else, at the same time. */
  paint: fc.array(work, { maxLength: 3 }),
  strip: fc.boolean(),
  oneByOne: fc.boolean(),
  procedures: fc.boolean(),
  cleans: fc.boolean(),
  move: fc.boolean(),
  deliver: fc.boolean(),
  style: fc.record({
    block: fc.boolean(),
    blockLists: fc.boolean(),
    comments: fc.boolean(),
    explicitOrder: fc.boolean(),
    crlf: fc.boolean(),
    spaced: fc.boolean(),
    /** Bill and evidence each as one list in brackets. */
    brackets: fc.boolean(),
  }),
});

type Choices = typeof choices extends fc.Arbitrary<infer T> ? T : never;
type Value = string | readonly string[] | Readonly<Record<string, string>>;
type Entry = Readonly<Record<string, Value>>;

/** Hours of the invented sheet by task, and whether they are for each connector. */
const times: Readonly<Record<string, readonly [hours: number, perConnector: boolean]>> = {
  'make-safe': [0.6, false],
  'wake-up': [0.3, false],
  isolate: [0.2, false],
  'prove-dead': [0.2, false],
  'battery-12v-off': [0.1, false],
  'battery-12v-on': [0.1, false],
  disconnect: [0.1, true],
  cover: [0.1, true],
  uncover: [0.1, true],
  inspect: [0.1, true],
  clean: [0.2, true],
  reconnect: [0.1, true],
  'check-seated': [0.1, false],
  'measure-resistance': [0.2, true],
  'measure-insulation': [0.2, false],
  'measure-bonding': [0.1, true],
  'prove-interlock': [0.1, false],
  'leak-test': [0.2, true],
  scan: [0.3, false],
  calibrate: [0.5, true],
};

const sheet = `rate-sheet: laws
currency: EUR
sources:
  - { id: T1, title: Time study (invented), publisher: shop, consulted: 2027-01-11 }
rates:
  - { id: electrical, per-hour: '96.00' }
times:
${Object.entries(times)
  .map(
    ([task, [hours, each]]) =>
      `  - { task: ${task}, hours: ${hours}, per: ${each ? 'connector' : 'operation'}, rate: electrical, basis: not-included, reference: T1 }\n`,
  )
  .join('')}consumables:
  - { id: dummy-plug, kind: dummy-plug, non-conductive: true, high-visibility: true, charged: false }
  - { id: orange-tape, kind: tape, non-conductive: true, high-visibility: true, price: '0.60', unit: strip }
  - { id: tied-bag, kind: bag, tied: true, price: '0.90', unit: piece }
  - { id: masking-paper, kind: paper, price: '0.30', unit: sheet }
  - { id: o-ring, kind: seal, price: '1.10', unit: piece }
plugward:
  photos: [cover]
  sign-offs: [high-voltage-technician]
  sources-kept-for: 365 d
`;

const makeSafe = `procedure: make-safe
parameters:
  - { name: technician, kind: person }
operations:
  - { id: read, do: consult, by: $technician }
  - { id: off-12v, do: battery-12v-off, by: $technician }
  - { id: off, do: isolate, by: $technician, glove-class: '0' }
  - { id: lock, do: lock-out, by: $technician }
  - { id: wait, do: wait, by: $technician, time: 6 min }
  - { id: prove, do: prove-dead, by: $technician, meter-rating: 1000 V, meter-proven: before-and-after, glove-class: '0', proven-at: inverter input }
`;

const wakeUp = `procedure: wake-up
parameters:
  - { name: technician, kind: person }
operations:
  - { id: unlock, do: lock-out-off, by: $technician }
  - { id: on-12v, do: battery-12v-on, by: $technician }
  - { id: power, do: power-up, by: $technician }
`;

class Builder {
  readonly steps: Entry[] = [];
  readonly labour: Entry[] = [];
  readonly materials: Entry[] = [];
  readonly measurements: Entry[] = [];
  readonly evidence: Entry[] = [];
  #number = 0;

  constructor(readonly explicitOrder: boolean) {}

  /** Writes a step and what it owes to the bill; @returns its id. */
  step(fields: Entry, charged: readonly [item: string, quantity: number][] = []): string {
    this.#number += 10;
    const id = `op${this.#number}`;
    const above = this.steps.at(-1)?.['id'] as string | undefined;
    const after: Entry = this.explicitOrder && above && !('after' in fields) ? { after: [above] } : {};
    this.steps.push({ id, ...fields, ...after });
    const task = (fields['follow'] ?? fields['do']) as string;
    const time = times[task];
    const connectors = [fields['connectors'] ?? []].flat().length;
    if (time) {
      const hours = Math.round(time[0] * (time[1] ? Math.max(1, connectors) : 1) * 10) / 10;
      const line = { rate: 'electrical', basis: 'not-included', reference: 'T1' };
      this.labour.push({ for: id, task, hours: String(hours), ...line });
    }
    for (const [item, quantity] of charged)
      this.materials.push({ for: id, item, quantity: String(quantity) });
    if (task === 'cover') this.evidence.push({ for: id, photo: `./photos/${id}.jpg`, when: 'after' });
    return id;
  }
}

function connectorEntry(id: string, one: Opened): Entry {
  const power: Entry = {
    current: { steady: '180 A', peak: '300 A', 'peak-time': '10 s' },
    resistance: { 'as-new': '0.15 mΩ', limit: '0.5 mΩ' },
    plating: 'silver',
    cable: '50 mm²',
    'temperature-class': '125 °C',
    'maker-cover': 'dummy-plug',
    source: one.inList ? 'K1' : 'S1',
  };
  return {
    id,
    class: one.class,
    zone: one.zone,
    ...(one.class === 'high-voltage-power' ? power : {}),
    ...(one.lock ? { lock: 'true' } : {}),
    ...(one.newSeal ? { 'new-seal': 'true' } : {}),
    ...(one.calibrate ? { calibrate: 'true' } : {}),
    ...(one.class === 'fluid-line' ? { medium: 'coolant' } : {}),
  };
}

function build(choice: Choices): CleanPlan {
  const all = choice.connectors.map((one, i) => ({ id: `${one.class}-${i + 1}`, ...one }));
  const ids = (wanted: (one: (typeof all)[number]) => boolean): string[] =>
    all.filter(wanted).map(({ id }) => id);
  const ofClass = (...some: Class[]): string[] => ids((one) => some.includes(one.class));
  const neighbours = choice.neighbours.map((zone, i) => ({ id: `neighbour-${i + 1}`, zone }));
  const groups = choice.oneByOne ? all.map((one) => [one]) : [all];
  const plan = new Builder(choice.style.explicitOrder);
  const by = (person: string): Entry => ({ by: person });
  const a = by('technician-a');

  const start = plan.step({ do: 'consult', ...a });
  const hot = ofClass('high-voltage-power', 'interlock', 'restraint').length > 0;
  const welds = [...choice.body, ...choice.paint].some(({ task }) => task === 'weld');
  // Where airbags sit that the plan does not name, 12 V is off all the same.
  const nearBags = [
    ...[...choice.body, ...choice.paint].filter(({ task }) =>
      ['cut', 'drill', 'grind', 'straighten'].includes(task),
    ),
    ...(choice.strip ? choice.body.slice(0, 1) : []),
  ].some(({ zone }) => ['cabin', 'roof'].includes(zone));
  const safe = hot || welds || (nearBags && ofClass('restraint').length === 0);
  let covered = start;
  if (safe && choice.procedures)
    covered = plan.step({ follow: 'make-safe', with: { technician: 'technician-a' } });
  else if (safe) {
    plan.step({ do: 'battery-12v-off', ...a });
    plan.step({ do: 'isolate', 'glove-class': "'0'", ...a });
    plan.step({ do: 'lock-out', ...a });
    plan.step({ do: 'wait', time: '5 min', ...a });
    covered = plan.step({
      do: 'prove-dead',
      'meter-rating': '1000 V',
      'meter-proven': 'before-and-after',
      'proven-at': 'inverter input',
      'glove-class': "'0'",
      ...a,
    });
  }
  if (ofClass('fluid-line').length > 0) plan.step({ do: 'drain-coolant', ...a });
  let last = '';
  for (const group of groups) {
    plan.step({ do: 'disconnect', connectors: group.map(({ id }) => id), ...a });
    const plugged = group.filter((one) => one.class === 'high-voltage-power').map(({ id }) => id);
    const taped = group.filter((one) => one.class !== 'high-voltage-power').map(({ id }) => id);
    if (plugged.length > 0)
      last = covered = plan.step({ do: 'cover', connectors: plugged, using: 'dummy-plug', ...a });
    if (taped.length > 0) {
      const fields = {
        do: 'cover',
        connectors: taped,
        halves: 'both',
        using: ['orange-tape', 'tied-bag'],
        ...a,
      };
      last = plan.step(fields, [
        ['orange-tape', 2 * taped.length],
        ['tied-bag', 2 * taped.length],
      ]);
    }
  }
  const waits = [last];
  // An airbag is taken out of where metal is cut or heated.
  const tooled = [...choice.body, ...choice.paint].filter(({ task }) =>
    ['cut', 'drill', 'grind', 'weld'].includes(task),
  );
  const stripped = [
    ...new Set([
      ...(choice.strip ? [choice.body[0]!.zone] : []),
      ...all.flatMap(({ class: kind, zone }) =>
        kind === 'restraint' && tooled.some((step) => step.zone === zone) ? [zone] : [],
      ),
    ]),
  ];
  if (stripped.length > 0)
    waits.push(plan.step({ do: 'remove', zone: stripped, after: [covered], ...by('technician-b') }));

  const branches = [choice.body, choice.paint].filter((branch) => branch.length > 0);
  // Nobody sprays paint where somebody else makes sparks, sands or works by hand, or beside that, nor works by hand where somebody
  // else has a tool in the panel, or pulls at it or beside it: then one branch waits for the other.
  const doing = (branch: typeof choice.body, tasks: readonly string[]): readonly string[] =>
    branch.filter(({ task }) => tasks.includes(task)).map(({ zone }) => zone);
  const sparks = ['cut', 'drill', 'grind', 'weld'];
  const machines = ['sand', 'polish'];
  const hands = ['straighten', 'fit-panel', 'seal', 'fill', 'mask', 'wash'];
  const body = new Zones();
  const clash = [
    [choice.body, choice.paint],
    [choice.paint, choice.body],
  ].some(
    ([one, other]) =>
      // Nor does anybody work on a vehicle that bakes.
      doing(one!, ['bake']).length > 0 ||
      doing(one!, [...sparks, ...machines, ...hands]).some((zone) =>
        doing(other!, ['prime', 'paint']).some((sprayed) => sprayed === zone || body.adjoin(sprayed, zone)),
      ) ||
      doing(one!, hands).some((zone) => doing(other!, [...sparks, ...machines]).includes(zone)) ||
      doing(one!, hands).some((zone) =>
        doing(other!, ['straighten']).some((pulled) => pulled === zone || body.adjoin(pulled, zone)),
      ),
  );
  let end = '';
  const ends = branches.map((branch, i) => {
    branch.forEach(({ task, zone }, place) => {
      const bake: Entry =
        task === 'bake'
          ? { 'air-temperature': '55 °C', 'panel-temperature': '50 °C', 'hold-time': '30 min' }
          : {};
      const first: Entry = place === 0 ? { after: clash && i > 0 ? [...waits, end] : waits } : {};
      end = plan.step({ do: task, zone, ...bake, ...first, ...by(i === 0 ? 'technician-b' : 'painter-c') });
    });
    return end;
  });

  // A proof from before the night is renewed.
  const night = [...choice.body, ...choice.paint].some(({ task }) => task === 'end-of-shift');
  const again = night && ofClass('high-voltage-power', 'interlock').length > 0;
  if (again)
    plan.step({
      do: 'prove-dead',
      'meter-rating': '1000 V',
      'meter-proven': 'before-and-after',
      'proven-at': 'inverter input',
      'glove-class': "'0'",
      after: ends,
      ...a,
    });
  groups.forEach((group, i) => {
    const connectors = group.map(({ id }) => id);
    plan.step({ do: 'uncover', connectors, ...(i === 0 && !again ? { after: ends } : {}), ...a });
    const earths = group.filter((one) => one.class === 'earth').map(({ id }) => id);
    const toClean = choice.cleans ? connectors : earths;
    if (toClean.length > 0) plan.step({ do: 'clean', connectors: toClean, ...a });
    plan.step({ do: 'inspect', connectors, ...a });
    const sealed = group.filter((one) => one.newSeal).length;
    plan.step(
      { do: 'reconnect', connectors, ...(sealed > 0 ? { using: 'o-ring' } : {}), ...a },
      sealed > 0 ? [['o-ring', connectors.length]] : [],
    );
  });
  const some = (connectors: readonly string[], task: string): string | undefined =>
    connectors.length > 0 ? plan.step({ do: task, connectors, ...a }) : undefined;
  some(
    ids(({ lock }) => lock),
    'lock',
  );
  const power = ofClass('high-voltage-power');
  const measured = some(power, 'measure-resistance');
  const insulated = some(power, 'measure-insulation');
  for (const connector of power) {
    const reading = {
      connector,
      after: measured!,
      method: 'four-wire',
      value: '0.2 mΩ',
      uncertainty: '0.02 mΩ',
    };
    plan.measurements.push({ ...reading, at: '22 °C', by: 'technician-a' });
    plan.measurements.push({
      connector,
      after: insulated!,
      kind: 'insulation',
      value: '12 MΩ',
      uncertainty: '1 MΩ',
    });
  }
  some(ofClass('interlock'), 'prove-interlock');
  const bonded = some(ofClass('earth'), 'measure-bonding');
  for (const connector of ofClass('earth')) {
    const reading = { connector, after: bonded!, kind: 'bonding', method: 'four-wire' };
    plan.measurements.push({ ...reading, value: '5 mΩ', uncertainty: '0.5 mΩ', by: 'technician-a' });
  }
  if (ofClass('fluid-line').length > 0) plan.step({ do: 'fill-coolant', ...a });
  some(ofClass('fluid-line'), 'leak-test');
  const masked = [...choice.body, ...choice.paint].flatMap(({ task, zone }) =>
    task === 'mask' ? [zone] : [],
  );
  if (masked.length > 0) plan.step({ do: 'unmask', zone: [...new Set(masked)], ...by('painter-c') });
  if (stripped.length > 0) plan.step({ do: 'refit', zone: stripped, ...by('technician-b') });
  plan.step({ do: 'check-seated', connectors: [...all, ...neighbours].map(({ id }) => id), ...a });
  // A pull at the place of the battery is followed by a look at the battery.
  const pulled = [...choice.body, ...choice.paint].some(
    ({ task, zone }) => task === 'straighten' && zone === 'underbody',
  );
  if (pulled) plan.step({ do: 'inspect-battery', 'glove-class': "'0'", ...a });
  if (safe && choice.procedures) plan.step({ follow: 'wake-up', with: { technician: 'technician-a' } });
  else {
    if (safe) {
      plan.step({ do: 'lock-out-off', ...a });
      plan.step({ do: 'battery-12v-on', ...a });
    }
    plan.step({ do: 'power-up', ...a });
  }
  if (choice.move) plan.step({ do: 'move', ...a });
  const calibrated = some(
    ids(({ calibrate }) => calibrate),
    'calibrate',
  );
  // The last scan follows whatever leaves fault codes behind.
  if (safe || calibrated || ofClass('sensor', 'data').length > 0) plan.step({ do: 'scan', ...a });
  plan.step({ do: 'road-test', ...a });
  if (choice.deliver) plan.step({ do: 'deliver' });

  const own = all.filter(({ inList }) => !inList);
  const listed: Entry[] = [
    ...all.filter(({ inList }) => inList).map((one) => connectorEntry(one.id, one)),
    ...neighbours.map(({ id, zone }) => ({ id, class: 'low-voltage', zone })),
  ];
  const writer = new Writer(choice.style);
  const uses = ['./laws.rate-sheet.yaml', './laws.connector-list.yaml'];
  if (choice.procedures && safe)
    uses.push('./make-safe.shop-procedure.yaml', './wake-up.shop-procedure.yaml');
  writer.head(`plan: LAW-1
title: A repair that a machine wrote
vehicle:
  description: Kestrel (invented)
  propulsion: battery-electric
  system-voltage: 400 V
  voltage-kind: direct
  arrived: 2027-02-01
  discharge-wait: 5 min
  restraint-wait: 5 min
  cable-route: S1
  battery-zone: underbody
  battery-distance: S1
  bake-limit: { temperature: 60 °C, time: 60 min, source: S1 }
uses:
${uses.map((use) => `  - ${use}\n`).join('')}sources:
  - { id: S1, title: The Kestrel (invented), publisher: vehicle-maker, consulted: 2027-02-03 }
heat-budget: 20 W
`);
  if (own.length > 0)
    writer.section(
      'connectors',
      own.map((one) => connectorEntry(one.id, one)),
    );
  writer.section('operations', plan.steps);
  writer.section('labour', plan.labour);
  if (plan.materials.length > 0) writer.section('materials', plan.materials);
  if (plan.measurements.length > 0) writer.section('measurements', plan.measurements);
  writer.section('evidence', plan.evidence);
  writer.section('sign-offs', [
    { role: 'high-voltage-technician', name: 'Technician A', date: '2027-02-05' },
  ]);
  const list = new Writer({ ...choice.style, comments: false, crlf: false });
  list.head('connector-list: laws\nsources: [{ id: K1, title: List (invented), consulted: 2027-01-11 }]\n');
  if (listed.length > 0) list.section('connectors', listed);
  else list.head('connectors: []\n');
  return {
    name: planName,
    files: {
      [planName]: writer.text(),
      'laws.rate-sheet.yaml': sheet,
      'laws.connector-list.yaml': list.text(),
      'make-safe.shop-procedure.yaml': makeSafe,
      'wake-up.shop-procedure.yaml': wakeUp,
    },
  };
}

/** Writes a plan in one of the styles people use. Each comment has a number, so that a test can see it survive. */
class Writer {
  #text = '';
  #notes = 0;

  constructor(readonly style: Choices['style']) {}

  head(text: string): void {
    this.#text += text;
  }

  section(name: string, entries: readonly Entry[]): void {
    if (this.style.spaced) this.#text += '\n';
    if (this.style.comments) this.#text += `# ${this.#note()}: ${name}\n`;
    if (this.style.brackets && ['labour', 'materials', 'evidence'].includes(name)) {
      this.#text += `${name}: [${entries.map((entry) => this.#flow(entry)).join(', ')}]\n`;
      return;
    }
    this.#text += `${name}:\n`;
    entries.forEach((entry, i) => {
      if (this.style.comments && i % 4 === 2) this.#text += `  # ${this.#note()}\n`;
      const lines = this.style.block ? this.#block(entry) : [`  - ${this.#flow(entry)}`];
      if (this.style.comments && i % 3 === 1) lines[0] += ` # ${this.#note()}`;
      this.#text += lines.map((line) => `${line}\n`).join('');
      if (this.style.spaced && this.style.block) this.#text += '\n';
    });
  }

  text(): string {
    return this.style.crlf ? this.#text.replaceAll('\n', '\r\n') : this.#text;
  }

  #note(): string {
    return `note-${++this.#notes}`;
  }

  #flow(entry: Entry): string {
    return `{ ${Object.entries(entry)
      .map(([key, value]) => `${key}: ${this.#value(value)}`)
      .join(', ')} }`;
  }

  #value(value: Value): string {
    if (typeof value === 'string') return value;
    return Array.isArray(value) ? `[${(value as string[]).join(', ')}]` : this.#flow(value as Entry);
  }

  #block(entry: Entry): string[] {
    const lines = Object.entries(entry).flatMap(([key, value]) => {
      if (Array.isArray(value) && this.style.blockLists && value.length > 0)
        return [`${key}:`, ...(value as string[]).map((one) => `  - ${one}`)];
      return [`${key}: ${this.#value(value)}`];
    });
    return lines.map((line, i) => (i === 0 ? `  - ${line}` : `    ${line}`));
  }
}

export const cleanPlans: fc.Arbitrary<CleanPlan> = choices.map(build);
