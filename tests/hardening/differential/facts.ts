import {
  ConnectorFacts,
  vehicleTimeline,
  vehicleVerdict,
} from '../../../server/src/sequence/facts/timeline.ts';
import { verdict } from '../../../server/src/sequence/facts/verdict.ts';
import { sequenceOf } from '../../../server/src/sequence/lives.ts';
import { connectorFacts, effects, halfFacts, vehicleFacts } from '../../../server/src/plan/tables/effects.ts';
import type {
  ConnectorFact,
  FactId,
  HalfFact,
  VehicleFact,
} from '../../../server/src/plan/tables/effects.ts';
import { workspaceOf } from '../../support/files.ts';
import type { Random } from '../fuzz/random.ts';
import { play, rulesOf } from './schedules.ts';
import type { SmallStep, SmallWorld } from './schedules.ts';

const zone = 'quarter-left';
const near = 'cabin';
const far = 'front-right';
const naming = [
  'disconnect',
  'cover',
  'uncover',
  'inspect',
  'clean',
  'reconnect',
  'lock',
  'measure-resistance',
  'measure-insulation',
  'measure-bonding',
  'prove-interlock',
  'leak-test',
  'check-seated',
  'calibrate',
];
const working = [
  'grind',
  'sand',
  'straighten',
  'remove',
  'wash',
  'paint',
  'cut',
  'check-seated',
  'scan',
  'fill-coolant',
  'drain-coolant',
];
const whole = [
  'isolate',
  'lock-out',
  'wait',
  'prove-dead',
  'power-up',
  'lock-out-off',
  'end-of-shift',
  'scan',
  'battery-12v-off',
  'battery-12v-on',
  'shut-down',
  'roll',
  'charge-battery',
  'isolate-48v',
  'lower-battery',
  'raise-battery',
  'inspect-battery',
  'program',
  'send-out',
  'bond',
  'cure',
  'bake',
];
/** What is done in a row, what comes between, and what it is about: a random order of all tasks would hardly ever hit it. */
interface Course {
  readonly tasks: readonly string[];
  readonly between: readonly string[];
  readonly about: readonly FactId[];
}
const course = (tasks: string, between: string, about: string): Course => ({
  tasks: tasks.split(' '),
  between: between.split(' '),
  about: about.split(' ') as FactId[],
});
const courses: readonly Course[] = [
  course(
    'isolate lock-out wait prove-dead',
    'power-up lock-out-off end-of-shift roll isolate lock-out battery-12v-on disconnect reconnect wait',
    'isolated locked-out waited high-voltage-dead proof-fresh shut-down not-powered',
  ),
  course(
    'battery-12v-off wait',
    'battery-12v-on power-up shut-down scan wait',
    '12v-off 12v-on restraint-safe',
  ),
  course(
    'disconnect cover grind uncover reconnect',
    'cover clean paint wash disconnect end-of-shift sand',
    'protected clean uncovered closed inspected cleaned',
  ),
  course(
    'disconnect reconnect lock measure-resistance measure-insulation',
    'cut straighten disconnect lock reconnect measure-resistance wait prove-dead',
    'closed locked resistance-proven insulation-proven discharged',
  ),
  course(
    'disconnect reconnect check-seated scan calibrate',
    'remove straighten disconnect check-seated scan program battery-12v-off',
    'seat-checked seated scanned calibrated scanned-last closed',
  ),
  course(
    'drain-coolant disconnect reconnect fill-coolant leak-test',
    'leak-test fill-coolant recover-refrigerant fill-refrigerant disconnect',
    'line-empty leak-tested closed bonding-proven interlock-proven',
  ),
  course(
    'lower-battery inspect-battery raise-battery',
    'raise-battery lower-battery',
    'battery-in battery-out',
  ),
];

/** A course with something left out, put between, or exchanged. */
function tasksOf({ tasks, between }: Course, random: Random): string[] {
  const list = tasks.filter(() => !random.chance(0.12));
  for (let n = random.below(3); n > 0; n--)
    list.splice(random.below(list.length + 1), 0, random.pick(between));
  if (list.length > 1 && random.chance(0.2)) {
    const at = random.below(list.length - 1);
    [list[at], list[at + 1]] = [list[at + 1]!, list[at]!];
  }
  return list.slice(0, 6);
}

interface SmallPlan {
  readonly world: SmallWorld;
  readonly text: string;
  readonly about: readonly FactId[];
}

/** A plan of up to six steps in any order that a plan can state, about one connector. */
function smallPlan(random: Random): SmallPlan {
  const isolates = random.chance(0.15);
  const lock = random.chance(0.5);
  const medium = random.pick([undefined, undefined, 'coolant', 'refrigerant'] as const);
  const arrivedPowered = random.chance(0.2);
  const chosen = random.chance(0.8) ? random.pick(courses) : undefined;
  const tasks = chosen
    ? tasksOf(chosen, random)
    : Array.from({ length: 2 + random.below(5) }, () => random.pick(random.pick([naming, working, whole])));
  const steps: SmallStep[] = [];
  const lines: string[] = [];
  for (const [place, task] of tasks.entries()) {
    const kind = naming.includes(task) ? naming : working.includes(task) ? working : whole;
    const named = kind === naming && (task !== 'check-seated' || random.chance(0.5));
    const half = random.pick(['both', 'both', 'plug', 'receptacle'] as const);
    const partly =
      named && (task === 'cover' || task === 'uncover' || task === 'clean' || task === 'inspect');
    const written = named || kind === whole ? undefined : random.pick([zone, zone, near, far, undefined]);
    const all = Array.from({ length: place }, (_, i) => i);
    const waits = random.chance(0.7) ? undefined : all.filter(() => random.chance(0.4));
    const id = `op${place + 1}`;
    const after = waits && `, after: [${waits.map((one) => `op${one + 1}`).join(', ')}]`;
    lines.push(
      `  - { id: ${id}, do: ${task}${named ? ', connectors: [c]' : ''}${partly ? `, halves: ${half}` : ''}` +
        `${written === undefined ? '' : `, zone: ${written}`}${after ?? ''} }`,
    );
    steps.push({
      id,
      task,
      named,
      halves: partly && half !== 'both' ? [half] : ['plug', 'receptacle'],
      zone: named ? zone : written,
      // A step follows the one above it unless it says otherwise.
      waits: waits ?? (place === 0 ? [] : [place - 1]),
    });
  }
  const about = [
    lock ? 'lock: true' : '',
    isolates ? 'isolates: true' : '',
    medium ? `medium: ${medium}` : '',
  ]
    .filter(Boolean)
    .map((one) => `, ${one}`)
    .join('');
  const text = `plan: F-1
vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 400 V${arrivedPowered ? ', arrived-as: [powered]' : ''} }
connectors: [{ id: c, class: ${medium ? 'fluid-line' : 'high-voltage-power'}, zone: ${zone}${about} }]
operations:
${lines.join('\n')}
`;
  return {
    world: { steps, connector: { zone, lock, isolates, medium } as never, arrivedPowered },
    text,
    about: chosen?.about ?? [],
  };
}

const isVehicle = (fact: FactId): fact is VehicleFact => (vehicleFacts as readonly string[]).includes(fact);

/** Whether the engine decides a fact exactly: its makers count whatever else holds, its enders end it in any case. */
const isExact = (fact: FactId): boolean =>
  [...effects[fact].makes, ...effects[fact].ends].every(
    ({ given = [], unless }) => given.length === 0 && !unless,
  );

const questions: readonly (readonly [FactId, ('plug' | 'receptacle')?])[] = [
  ...vehicleFacts.map((fact) => [fact] as const),
  ...connectorFacts.map((fact) => [fact] as const),
  ...halfFacts.flatMap((fact) => [[fact, 'plug'] as const, [fact, 'receptacle'] as const]),
];

/**
 * Asks the engine about some facts at every step of a small plan, and plays all schedules of it. Where the engine calls a
 * need met, the fact must hold in all of them; facts without conditions must be decided exactly.
 * @returns what was asked; 0 where the plan has too many schedules
 * @throws Error with the plan and what differs
 */
export function tryFacts(random: Random): number {
  const { world, text, about } = smallPlan(random);
  const asked = questions.filter(([fact]) => random.chance(about.includes(fact) ? 0.8 : 0.08));
  const rules = rulesOf(world, asked);
  const outcomes = play(world, rules);
  if (!outcomes) return 0;
  const uri = 'file:///plans/f.repair-plan.yaml';
  const plan = workspaceOf({ 'f.repair-plan.yaml': text }).plan(uri)!;
  const sequence = sequenceOf(plan);
  const life = sequence.life('c');
  const facts = life && new ConnectorFacts(plan, sequence, life);
  const operations = [...world.steps.map(({ id }) => plan.operation(id)!), undefined];
  let count = 0;
  for (const [fact, half] of asked) {
    if (!isVehicle(fact) && !facts) continue;
    const rule = rules.findIndex((one) => one.fact === fact && one.half === half);
    operations.forEach((operation, place) => {
      const told = isVehicle(fact)
        ? operation
          ? vehicleVerdict(plan, fact, operation)
          : verdict(sequence.order, vehicleTimeline(plan, fact), undefined)
        : facts!.verdict(fact as ConnectorFact | HalfFact, operation, half);
      const { held, failed } = outcomes[rule]![place]!;
      const said = told.met ? 'met' : told.certain ? 'fails' : 'may fail';
      const is = !failed ? 'met' : held ? 'may fail' : 'fails';
      count++;
      // A certain failure is worded as certain: it must be one.
      const wrong = isExact(fact) ? said !== is : said === 'met' && failed;
      if (wrong)
        throw new Error(
          `${fact} ${half ?? ''} at ${operation?.id ?? 'the end'}: the engine says ${said}, all schedules say ${is}\n${text}`,
        );
    });
  }
  return count;
}

/**
 * Long plans: the short cuts of the engine, and the rule itself asked step by step.
 * @throws Error with the plan and what differs
 */
export function tryLongFacts(random: Random): number {
  const parts = Array.from({ length: 3 + random.below(6) }, () => smallPlan(random));
  const lines = parts.flatMap(({ text }, part) =>
    text
      .slice(text.indexOf('operations:\n') + 12)
      .trimEnd()
      .split('\n')
      .map((line) => line.replaceAll(/\bop(\d)/g, `op${part}-$1`)),
  );
  const text = parts[0]!.text.replace(/operations:\n[^]*/, `operations:\n${lines.join('\n')}\n`);
  const uri = 'file:///plans/f.repair-plan.yaml';
  const plan = workspaceOf({ 'f.repair-plan.yaml': text }).plan(uri)!;
  const sequence = sequenceOf(plan);
  const { order } = sequence;
  const fail = (fact: string, at: string | undefined): never => {
    throw new Error(`${fact} at ${at ?? 'the end'}: the short cut says otherwise\n${text}`);
  };
  let count = 0;
  for (const fact of vehicleFacts) {
    const timeline = vehicleTimeline(plan, fact);
    for (const operation of plan.operations) {
      count++;
      if (vehicleVerdict(plan, fact, operation).met !== verdict(order, timeline, operation).met)
        fail(fact, operation.id);
    }
  }
  const life = sequence.life('c');
  if (!life) return count;
  const facts = new ConnectorFacts(plan, sequence, life);
  const sorted = [...plan.operations].sort((a, b) => order.compare(a, b));
  for (const [fact, half] of questions) {
    // Short cuts are for what holds on arrival.
    if (isVehicle(fact) || !effects[fact].arrival) continue;
    const quick = facts.unmetAt(fact, sorted, half).map(({ step }) => step.id);
    const slow = sorted.filter((step) => !facts.verdict(fact, step, half).met).map(({ id }) => id);
    count += sorted.length;
    if (quick.join() !== slow.join())
      fail(`${fact} ${half ?? ''}: ${quick.join()} | ${slow.join()}`, undefined);
  }
  return count;
}
