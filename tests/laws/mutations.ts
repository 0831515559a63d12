import { parse } from 'yaml';
import { builtInTasks, contaminating } from '../../server/src/plan/tables/tasks.ts';
import type { Hazard } from '../../server/src/plan/tables/tasks.ts';
import { Zones } from '../../server/src/plan/tables/zones.ts';

/** A plan with one thing taken out, moved or swapped, and the finding that must come of it. */
export interface Mutation {
  /** "delete cover", "swap inspect and reconnect". */
  readonly kind: string;
  readonly expects: string;
  /** The connector the message must name, where the finding is about one. */
  readonly connector?: string;
  readonly files: Readonly<Record<string, string>>;
}

interface Step {
  id: string;
  do?: string;
  follow?: string;
  connectors?: string | string[];
  zone?: string | string[];
  after?: string | string[];
  using?: string | string[];
  halves?: string;
  [key: string]: unknown;
}

interface Line {
  for: string | string[];
  task?: string;
  item?: string;
  hours?: number;
  reference?: string;
  [key: string]: unknown;
}

interface PlanText {
  operations: Step[];
  labour: Line[];
  materials?: Line[];
  measurements?: { connector: string; after?: string; kind?: string }[];
  evidence: { for: string }[];
  'sign-offs': unknown[];
  connectors?: Known[];
  uses: string[];
}

interface Known {
  id: string;
  class: string;
  zone: string;
  lock?: boolean;
  calibrate?: boolean;
  'new-seal'?: boolean;
}

/** A document written plainly, one entry of a list on one line. */
export const written = (document: object): string =>
  Object.entries(document)
    .map(([key, value]) =>
      Array.isArray(value) && value.length > 0
        ? `${key}:\n${value.map((entry) => `  - ${JSON.stringify(entry)}\n`).join('')}`
        : `${key}: ${JSON.stringify(value)}\n`,
    )
    .join('');

const list = <T>(value: T | T[] | undefined): T[] => (value === undefined ? [] : ([value].flat() as T[]));

/**
 * Every mutation of a clean plan that the rules of the trade make a mistake. `files` holds the plan under `name`, and
 * what it uses.
 */
export function* mutationsOf(files: Readonly<Record<string, string>>, name: string): Generator<Mutation> {
  const clean = parse(files[name]!) as PlanText;
  const lists = clean.uses
    .filter((use) => use.endsWith('.connector-list.yaml'))
    .map(
      (use) =>
        parse(files[use.slice(2)]!) as { connectors: Known[]; zones?: { id: string; beside: string[] }[] },
    );
  const known = new Map<string, Known>();
  for (const one of [...lists.flatMap(({ connectors }) => connectors), ...(clean.connectors ?? [])])
    known.set(one.id, one);
  const zones = new Zones(
    lists.flatMap((one) => (one.zones ?? []).map(({ id, beside }) => [id, beside] as const)),
  );
  const raises = (step: Step, kinds: ReadonlySet<Hazard>, zone: string): boolean => {
    const task = builtInTasks.get(step.do ?? '');
    if (!task?.raises.some((hazard) => kinds.has(hazard))) return false;
    const where = list(step.zone);
    return (
      task.reach === 'everywhere' ||
      where.includes(zone) ||
      (task.reach === 'beside' && where.some((one) => zones.adjoin(one, zone)))
    );
  };
  const opened = [
    ...new Set(
      clean.operations.filter((step) => step.do === 'disconnect').flatMap((step) => list(step.connectors)),
    ),
  ];
  const classOf = (id: string): string => known.get(id)!.class;
  const soils =
    (id: string): ((step: Step) => boolean) =>
    (step) =>
      raises(step, contaminating, known.get(id)!.zone);
  const threatened = (id: string): boolean => clean.operations.some(soils(id));

  const write = (changed: PlanText): Record<string, string> => ({ ...files, [name]: written(changed) });
  const made = (
    kind: string,
    expects: string,
    connector: string | undefined,
    changed: PlanText,
  ): Mutation => ({
    kind,
    expects,
    ...(connector === undefined ? {} : { connector }),
    files: write(changed),
  });
  const copy = (): PlanText => structuredClone(clean);
  const find = (plan: PlanText, task: string, id?: string): number =>
    plan.operations.findIndex(
      (step) => step.do === task && (id === undefined || list(step.connectors).includes(id)),
    );

  // What is owed to one connector, taken out of its step.
  const owed: Record<string, (id: string) => string | undefined> = {
    disconnect: () => 'closed-unopened',
    cover: (id) => (threatened(id) ? 'bare-connector' : undefined),
    uncover: () => 'cover-left-on',
    inspect: (id) => (classOf(id) === 'earth' ? undefined : 'inspection-missing'),
    clean: (id) => (classOf(id) === 'earth' ? 'inspection-missing' : undefined),
    reconnect: () => 'not-reconnected',
    lock: (id) => (known.get(id)!.lock ? 'unlocked' : undefined),
    'measure-resistance': () => 'resistance-unmeasured',
    'measure-insulation': () => 'insulation-unproven',
    'measure-bonding': () => 'bonding-unproven',
    'prove-interlock': () => 'interlock-unproven',
    'leak-test': () => 'leak-untested',
    calibrate: () => 'calibration-missing',
    'check-seated': (id) => {
      if (opened.includes(id))
        return ['low-voltage', 'sensor', 'data'].includes(classOf(id)) ? 'seat-unproven' : undefined;
      const knocks: ReadonlySet<Hazard> = new Set(['knock']);
      const zone = known.get(id)!.zone;
      // A cover knocks the neighbours in the zone of what it covers.
      const near = (step: Step): boolean =>
        raises(
          step.do === 'cover'
            ? { ...step, zone: list(step.connectors).map((one) => known.get(one)!.zone) }
            : step,
          knocks,
          zone,
        );
      return clean.operations.some((step) => !list(step.connectors).includes(id) && near(step))
        ? 'knock-unchecked'
        : undefined;
    },
  };
  for (const [task, expectation] of Object.entries(owed)) {
    for (const id of known.keys()) {
      const at = find(clean, task, id);
      const expects = at < 0 ? undefined : expectation(id);
      if (expects === undefined) continue;
      const plan = copy();
      dropConnector(plan, at, id);
      yield made(`delete ${task}`, expects, id, plan);
    }
  }

  // What is owed to the whole vehicle.
  const restraint = opened.some((id) => classOf(id) === 'restraint');
  const highVoltage = opened.some((id) => ['high-voltage-power', 'interlock'].includes(classOf(id)));
  const scanned = opened.some((id) => ['restraint', 'sensor', 'data'].includes(classOf(id)));
  const whole: Record<string, string | undefined> = {
    'battery-12v-off': restraint ? 'restraint-live' : undefined,
    scan: scanned ? 'scan-missing' : undefined,
  };
  for (const task of ['isolate', 'lock-out', 'wait', 'prove-dead'])
    whole[task] = highVoltage ? 'live-opening' : undefined;
  for (const [task, expects] of Object.entries(whole)) {
    if (expects === undefined) continue;
    const at = find(clean, task);
    if (at >= 0) {
      const plan = copy();
      dropStep(plan, at);
      yield made(`delete ${task}`, expects, undefined, plan);
    }
    for (const [file, text] of Object.entries(files)) {
      if (!file.endsWith('.shop-procedure.yaml') || !clean.uses.includes(`./${file}`)) continue;
      const procedure = parse(text) as { operations: Step[] };
      const inside = procedure.operations.findIndex((step) => step.do === task);
      if (inside < 0) continue;
      procedure.operations.splice(inside, 1);
      yield {
        kind: `delete ${task} in a procedure`,
        expects,
        files: { ...files, [file]: written(procedure) },
      };
    }
  }

  // Work moved or swapped.
  for (const id of opened) {
    const [disconnect, cover, uncover, inspect, reconnect] = [
      'disconnect',
      'cover',
      'uncover',
      'inspect',
      'reconnect',
    ].map((task) => find(clean, task, id)) as [number, number, number, number, number];
    const lock = find(clean, 'lock', id);
    const first = clean.operations.findIndex((step, i) => i > cover && soils(id)(step));
    const last = clean.operations.findLastIndex((step, i) => i < uncover && soils(id)(step));
    const swaps: [number, number, string, string | undefined][] = [
      [disconnect, cover, 'disconnect and cover', first < 0 ? undefined : 'bare-connector'],
      [cover, first, 'cover and the first dirty step', 'late-cover'],
      [last, uncover, 'the last dirty step and uncover', 'early-uncover'],
      [uncover, inspect, 'uncover and inspect', classOf(id) === 'earth' ? undefined : 'inspection-missing'],
      [
        inspect,
        reconnect,
        'inspect and reconnect',
        classOf(id) === 'earth' ? undefined : 'inspection-missing',
      ],
      [reconnect, lock, 'reconnect and lock', known.get(id)!.lock ? 'unlocked' : undefined],
    ];
    for (const [a, b, kind, expects] of swaps) {
      if (a < 0 || b < 0 || expects === undefined) continue;
      const plan = copy();
      swap(plan, a, b);
      yield made(`swap ${kind}`, expects, id, plan);
    }
    if (first >= 0 && cover > 0) {
      const plan = copy();
      const step = plan.operations[first]!;
      step.after = [
        ...new Set([
          clean.operations[disconnect]!.id,
          ...waits(clean, first).filter((one) => !reaches(clean, one, cover)),
        ]),
      ];
      // The uncovering still comes after every cover.
      const firstUncover = clean.operations.findIndex((one) => one.do === 'uncover');
      plan.operations[firstUncover]!.after = [
        ...waits(clean, firstUncover),
        ...clean.operations.flatMap((one) => (one.do === 'cover' ? [one.id] : [])),
      ];
      yield made('order the first dirty step only after the opening', 'late-cover', id, plan);
    }
    if (last >= 0) {
      const plan = copy();
      plan.operations[uncover]!.after = [clean.operations[cover]!.id];
      yield made('uncover right after the cover', 'early-uncover', id, plan);
    }
    const gate = clean.operations.findIndex(
      (step) =>
        step.do === 'power-up' ||
        step.do === 'move' ||
        step.follow === 'wake-up' ||
        step.follow === 're-energise',
    );
    {
      const plan = copy();
      plan.operations[gate]!.after = [clean.operations[reconnect - 1]!.id];
      yield made('order the gate before the closing', 'not-reconnected', id, plan);
    }
    {
      const plan = copy();
      const first = clean.operations[disconnect]!;
      // Who waited for the opening waits for the second one.
      for (const step of plan.operations) {
        if (step.after !== undefined)
          step.after = list(step.after).map((one) => (one === first.id ? 'again' : one));
      }
      const again: Step = { id: 'again', do: 'disconnect', connectors: [id], after: [first.id] };
      plan.operations.splice(disconnect + 1, 0, again);
      yield made('open twice', 'opened-twice', id, plan);
    }
    if (threatened(id)) {
      const plan = copy();
      plan.operations[cover]!.halves = 'plug';
      yield made('cover one half', 'half-covered', id, plan);
    }
    {
      const plan = copy();
      plan.operations[cover]!.using = 'masking-paper';
      yield made('cover with paper', 'weak-cover', id, plan);
    }
    {
      const plan = copy();
      delete plan.operations[cover]!.using;
      yield made('cover with nothing named', 'cover-unnamed', id, plan);
    }
    if (known.get(id)!['new-seal']) {
      const plan = copy();
      delete plan.operations[reconnect]!.using;
      yield made('close without the seal', 'seal-missing', id, plan);
    }
  }
  const scan = find(clean, 'scan');
  const deliver = find(clean, 'deliver');
  if (scanned && scan >= 0 && deliver >= 0) {
    const plan = copy();
    swap(plan, scan, deliver);
    yield made('swap scan and deliver', 'scan-missing', undefined, plan);
  }
  yield* billMutations(clean, made);
  if (highVoltage) {
    const plan = copy();
    plan['sign-offs'] = [];
    yield made('delete the signature', 'unqualified', undefined, plan);
  }
}

type Made = (kind: string, expects: string, connector: string | undefined, changed: PlanText) => Mutation;

/** A line of the bill is like another: of a long bill every few lines are changed. */
function* someOf<T>(lines: readonly T[]): Generator<[number, T]> {
  const stride = Math.max(1, Math.floor(lines.length / 3));
  for (let i = 0; i < lines.length; i += stride) yield [i, lines[i]!];
}

function* billMutations(clean: PlanText, made: Made): Generator<Mutation> {
  const change = (kind: string, expects: string, edit: (plan: PlanText) => void): Mutation => {
    const plan = structuredClone(clean);
    edit(plan);
    return made(kind, expects, undefined, plan);
  };
  for (const [i, { task, hours, reference }] of someOf(clean.labour)) {
    yield change('delete a labour line', 'labour-missing', (plan) => plan.labour.splice(i, 1));
    yield change('double a labour line', 'labour-twice', (plan) => plan.labour.push(clean.labour[i]!));
    yield change(
      'pay another task',
      'labour-orphan',
      (plan) => (plan.labour[i]!.task = task === 'scan' ? 'clean' : 'scan'),
    );
    yield change(
      'pay another step',
      'labour-orphan',
      (plan) =>
        (plan.labour[i]!.for = clean.operations.find(
          (step) => (step.do ?? step.follow) !== task && step.follow === undefined,
        )!.id),
    );
    yield change(
      'add a tenth',
      'hours-unlike-sheet',
      (plan) => (plan.labour[i]!.hours = Math.round((hours! + 0.1) * 10) / 10),
    );
    yield change('add a minute', 'hours-step', (plan) => (plan.labour[i]!.hours = hours! + 0.02));
    if (reference !== undefined)
      yield change('delete a reference', 'reference-missing', (plan) => delete plan.labour[i]!.reference);
  }
  for (const [i] of someOf(clean.materials ?? [])) {
    yield change('delete a material line', 'material-missing', (plan) => plan.materials!.splice(i, 1));
    yield change('double a material line', 'labour-twice', (plan) =>
      plan.materials!.push(clean.materials![i]!),
    );
    yield change(
      'charge another item',
      'labour-orphan',
      (plan) => (plan.materials![i]!.item = 'masking-paper'),
    );
  }
  for (const [i] of someOf(clean.measurements ?? []))
    yield change('delete a reading', 'measurement-missing', (plan) => plan.measurements!.splice(i, 1));
  for (const [i] of someOf(clean.evidence))
    yield change('delete a photograph', 'evidence-missing', (plan) => plan.evidence.splice(i, 1));
}

/** The steps that the step at `i` waits for. */
const waits = (plan: PlanText, i: number): string[] => {
  const { after } = plan.operations[i]!;
  return after === undefined ? plan.operations.slice(Math.max(0, i - 1), i).map(({ id }) => id) : list(after);
};

/** Whether the step `id` is, or waits for, the step at `target`. */
function reaches(plan: PlanText, id: string, target: number): boolean {
  const at = plan.operations.findIndex((step) => step.id === id);
  return at === target || waits(plan, at).some((one) => reaches(plan, one, target));
}

/** Takes a connector out of a step; a step that is left with none goes. */
function dropConnector(plan: PlanText, at: number, id: string): void {
  const step = plan.operations[at]!;
  const rest = list(step.connectors).filter((one) => one !== id);
  if (rest.length > 0) step.connectors = rest;
  else dropStep(plan, at);
}

/** Takes a step out with its lines; who waited for it waits for what it waited for. */
function dropStep(plan: PlanText, at: number): void {
  const { id } = plan.operations[at]!;
  const before = waits(plan, at);
  const next = plan.operations[at + 1];
  if (next && next.after === undefined) next.after = before;
  for (const step of plan.operations) {
    if (step.after === undefined) continue;
    step.after = [...new Set(list(step.after).flatMap((one) => (one === id ? before : [one])))];
  }
  plan.operations.splice(at, 1);
  plan.labour = plan.labour.filter((line) => line.for !== id);
  if (plan.materials) plan.materials = plan.materials.filter((line) => line.for !== id);
  plan.evidence = plan.evidence.filter((line) => line.for !== id);
  for (const one of plan.measurements ?? []) if (one.after === id) delete one.after;
}

/** Exchanges what two steps do; their ids, their order and who waits for them stay. */
function swap({ operations }: PlanText, a: number, b: number): void {
  const [one, other] = [operations[a]!, operations[b]!];
  const inPlaceOf = (place: Step, body: Step): Step => {
    const step: Step = { ...body, id: place.id };
    delete step.after;
    return place.after === undefined ? step : { ...step, after: place.after };
  };
  operations[a] = inPlaceOf(one, other);
  operations[b] = inPlaceOf(other, one);
}
