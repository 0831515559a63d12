import { isTractionDriven } from '../../../plan/high-voltage.ts';
import type { Operation } from '../../../plan/operations.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import type { Plan } from '../../../plan/plan.ts';
import type { Vehicle } from '../../../plan/vehicle.ts';
import { nearBattery } from '../../../plan/tables/needs.ts';
import { zoneNamed } from '../../../plan/tables/zones.ts';
import { readIds } from '../../../plan/read.ts';
import type { WithSpan } from '../../../plan/read.ts';
import { traceAt, named } from '../../support/words.ts';
import { alsoAt, andAt, told, unmetGroups } from '../../support/needs.ts';
import { batteryZonesOf } from '../../../sequence/facts/whole-battery.ts';
import { batteryZoneAt, distanceOf, puttingIn, takingOut, zonesOut } from '../../support/battery.ts';
import { ownHeating, stepsWithTools } from '../../support/tools.ts';
import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import type { CheckContext, FindingReport, FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const workAtBattery: FindingRule = {
  id: 'work-at-battery',
  title: say`Sparks or blades at the traction battery`,
  severity: 'error',
  page: () => ({
    means: say`A step cuts, drills, grinds, welds or brazes in the zone of the traction battery or next to it, or does a task of the shop's there that raises sparks or metal debris (or heat, in that very zone) and does not say what it needs, the battery is not certain to be out (of several, the one in that zone), and no source gives the vehicle maker's least distance. Where the plan does not say where the battery sits, or a step lowers or raises one in a zone that \`battery-zone\` leaves out, that is told once. Or a step that makes sparks, heat or water comes while a lowered battery lies at or next to its place (\`put-down\`), or a bake while the battery lies under or beside the vehicle or in the booth, or nobody states where it lies (a warning); or it is put down where by its name paint, solvent or fuel is kept, or somebody welds, grinds, cuts or washes, or where it gets wet or warm or stands in the way (a warning).`,
    why: say`A battery stays live after every proof: its cells cannot be switched off. Heat and debris in the housing can start a fire that nobody stops.`,
    whatToDo: say`Name the source of the vehicle maker's distance as \`battery-distance\` in the step or under \`vehicle\`, or take the battery out first. State \`battery-zone\` of the vehicle, and \`put-down\` of the step that lowers the battery: apart and watched, as the vehicle maker specifies.`,
    source: commonPractice,
    example: {
      wrong: `vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 400 V, battery-zone: underbody, cable-route: S1 }
operations:
  - { id: op50, do: weld, zone: underbody }
`,
      right: `vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 400 V, battery-zone: underbody, battery-distance: S1, cable-route: S1 }
sources:
  - { id: S1, title: Body repair of the Kestrel (invented), publisher: vehicle-maker, consulted: 2027-02-03 }
operations:
  - { id: op50, do: weld, zone: underbody }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check(subject) {
    const { plan } = subject;
    if (!plan.vehicle) return;
    const tools = new Set(stepsWithTools(plan, nearBattery, 'battery'));
    yield* atLowered(subject, tools);
    yield* atMounted(subject, plan.vehicle, tools);
  },
};

/** Work at the battery in its place. */
function* atMounted(
  subject: CheckContext,
  vehicle: Vehicle,
  tools: ReadonlySet<Operation>,
): Generator<FindingReport> {
  const { plan, sequence } = subject;
  const steps = [...new Set([...tools, ...ownHeating(plan)])].sort((a, b) => sequence.order.compare(a, b));
  if (vehicle.batteryZones.length === 0) {
    const first = steps.find((step) => tools.has(step) && !distanceOf(plan, step));
    if (!first || !isTractionDriven(plan)) return;
    yield {
      at: vehicle.span,
      operation: first.id,
      severity: 'warning',
      message: say`${named(first)} makes sparks or cuts, and nobody states where the traction battery sits, which stays live after every proof. State \`battery-zone: …\` of the vehicle, and the source of the vehicle maker's distance as \`battery-distance: …\`.`,
      trace: [traceAt(first, say`${named(first)} happens here`)],
    };
    return;
  }
  yield* atZoneLeftOut(plan, vehicle, tools);
  const near = (operation: Operation): WithSpan<string> | undefined =>
    // Sparks reach the adjoining zones; what only heats is told at the battery itself.
    batteryZoneAt(plan, operation, tools.has(operation), zonesOut(plan, sequence, operation));
  const unstated = steps.filter((step) => near(step) && !distanceOf(plan, step));
  for (const { culprit, first, others } of told(
    subject,
    'work-at-battery',
    unmetGroups(plan, 'battery-out', unstated),
  )) {
    const zone = near(first)!;
    yield {
      at: first.span,
      operation: first.id,
      message: say`${named(first)} works at or next to the traction battery in ${zoneNamed(zone.value)}, which stays live after every proof. Name the source of the vehicle maker's distance as \`battery-distance: …\`, or take the battery out first.`,
      ...andAt(others),
      trace: [
        { at: zone.span, message: say`the traction battery sits in ${zoneNamed(zone.value)}` },
        ...(culprit
          ? [traceAt(culprit, say`${named(culprit)}: the battery is in place again from here`)]
          : []),
        ...alsoAt(others),
      ],
    };
  }
}

/** Where a step lowers or raises a battery in a zone that `battery-zone` leaves out, work beside that one would go unchecked. */
function* atZoneLeftOut(
  plan: Plan,
  { batteryZones }: Vehicle,
  tools: ReadonlySet<Operation>,
): Generator<FindingReport> {
  if (![...tools].some((step) => !distanceOf(plan, step))) return;
  for (const step of ['lower-battery', 'raise-battery'].flatMap((task) => plan.operationsDoing(task))) {
    const zone = batteryZonesOf(step).find((one) => !batteryZones.some(({ value }) => value === one));
    if (zone === undefined) continue;
    yield {
      at: step.span,
      operation: step.id,
      severity: 'warning',
      message: say`${named(step)} names a traction battery in ${zoneNamed(zone)}, and \`battery-zone\` of the vehicle leaves that zone out, so sparks and blades beside that battery are not told of. Write the zones of all its batteries as \`battery-zone\`, or correct ${step.id}.`,
      trace: batteryZones.map(({ span, value }) => ({
        at: span,
        message: say`the traction battery sits in ${zoneNamed(value)}`,
      })),
    };
    return;
  }
}

/** Work beside a battery that is out: where it was put down matters, no longer its zone in the vehicle. */
function* atLowered(subject: CheckContext, tools: ReadonlySet<Operation>): Generator<FindingReport> {
  const { plan, sequence } = subject;
  const { order } = sequence;
  const raisings = puttingIn(plan);
  const lowerings = takingOut(plan);
  if (lowerings.length === 0) return;
  const harming = [
    ...new Set([...tools, ...ownHeating(plan), ...wetting(plan), ...plan.operationsDoing('bake')]),
  ].sort((a, b) => order.compare(a, b));
  for (const lowering of lowerings) {
    const steps = harming.filter(
      (step) =>
        !order.before(step, lowering) &&
        !raisings.some((raising) => order.before(lowering, raising) && order.before(raising, step)) &&
        step.step.node.get('battery-distance') === undefined,
    );
    const { step, bindings } = lowering;
    const places = readIds(step.node.get('put-down'), bindings);
    if (places.length === 0) {
      const [first] = steps;
      if (!first || step.node.entry('put-down') !== undefined) continue;
      yield {
        at: lowering.span,
        operation: lowering.id,
        severity: 'warning',
        message: say`${named(lowering)} does not say where the traction battery is put down, and ${named(first)} comes while it lies there: its cells stay live, and sparks, heat or water can set fire to them. Put it apart and watched, as the vehicle maker specifies, and write the place as \`put-down: battery-store\`, or where else.`,
        trace: [traceAt(first, say`${named(first)} happens here`)],
      };
      continue;
    }
    for (const [names, message] of unfit) {
      const place = places.find(({ value }) => names.test(value));
      if (!place) continue;
      yield {
        at: lowering.span,
        operation: lowering.id,
        severity: 'warning',
        message: message(lowering, zoneNamed(place.value)),
      };
    }
    const lies = (operation: Operation): WithSpan<string> | undefined =>
      places.find(({ value }) => isAt(plan, operation, value));
    for (const { first, others } of told(subject, 'work-at-battery', [
      { culprit: lowering, steps: steps.filter(lies) },
    ])) {
      yield {
        at: first.span,
        operation: first.id,
        message: say`${named(first)} comes at or next to the traction battery, which ${lowering.id} puts down in ${zoneNamed(lies(first)!.value)}: its cells stay live, and sparks, heat or water can set fire to them. Put it apart and watched before ${first.id}, as the vehicle maker specifies.`,
        ...andAt(others),
        trace: [traceAt(lowering, say`${named(lowering)}: put down here`), ...alsoAt(others)],
      };
    }
  }
}

/** Steps that wet the vehicle, a night under a leaking roof apart. */
const wetting = operationsWhere(
  ({ task, taskId }) => task !== undefined && taskId !== 'end-of-shift' && task.raises.includes('moisture'),
);

/**
 * Whether a step works in a zone or next to it. Work without a zone happens on the vehicle, and not in a zone that adjoins none
 * of it. A bake heats the whole vehicle, and whatever else stands in the booth.
 */
function isAt({ scope: { zones } }: Plan, operation: Operation, place: string): boolean {
  const isBake = operation.taskId === 'bake';
  if (isBake && inTheBooth.test(place)) return true;
  if (operation.zones.length === 0 || (isBake && !operation.offVehicle))
    return (zones.beside.get(place)?.size ?? 0) > 0;
  return operation.zones.some((zone) => zone === place || zones.adjoin(zone, place));
}

/** Names of places that are not fit for a battery, and what is said there. */
const unfit: readonly (readonly [names: RegExp, message: (lowering: Operation, place: Phrase) => Phrase])[] =
  [
    // They hold what burns.
    [
      /(?:^|-)(?:paints?|solvents?|thinners?|mixing|booth|spray|fuel|petrol|gas|lpg|pinturas?|(?:di)?solventes?|combustibles?|gasolina)(?:-|$)/,
      (lowering, place) =>
        say`${named(lowering)} puts the traction battery down in ${place}, where by its name paint, solvent or fuel is kept or sprayed: its cells stay live and can catch fire. Put it apart and watched, as the vehicle maker specifies, and write \`put-down: battery-store\`.`,
    ],
    // Other people's sparks and water.
    [
      /(?:^|-)(?:weld(?:ing)?|grind(?:ing)?|blast(?:ing)?|cutting|wash(?:ing)?|steam|soldadura|soldar|esmeril\w*|lavader[oa]|lavado|autolavado|corte)(?:-|$)/,
      (lowering, place) =>
        say`${named(lowering)} puts the traction battery down in ${place}, where by its name somebody welds, grinds, cuts or washes: its cells stay live, and sparks, heat or water can set fire to them. Put it apart and watched, as the vehicle maker specifies, and write \`put-down: battery-store\`.`,
    ],
    // It stands in water, warms up, or stands in the way.
    [
      /(?:^|-)(?:drains?|gutters?|gull(?:y|ies)|sump|puddles?|wet|rain|corridors?|passage\w*|hallway|aisle|gangway|exits?|escape|stair\w*|basement|cellar|offices?|canteen|lounge|customers?|heaters?|radiators?|boiler|compressor|sun(?:ny|light)?|under-(?:the-)?(?:lift|ramp|hoist|vehicle|car)|desagues?|alcantarilla|rejillas?|sumideros?|coladera|charcos?|mojad[oa]|lluvia|pasillos?|corredor|salidas?|escaleras?|sotano|oficinas?|comedor|clientes?|calefactor|caldera|compresor|sol|(?:bajo|debajo)-(?:del?-|el-|la-)*(?:elevador|rampa|coche|vehiculo|carro))(?:-|$)/,
      (lowering, place) =>
        say`${named(lowering)} puts the traction battery down in ${place}, where by its name it gets wet or warm, stands in the way, or stands where people sit or pass: water or heat can set fire to its cells, and a fire there cuts off the way out. Put it apart and watched, as the vehicle maker specifies, and write \`put-down: battery-store\`.`,
    ],
  ];
/** Names of places where paint is baked. */
const inTheBooth = /(?:^|-)(?:booth|oven|bake|spray|cabina|horno)(?:-|$)/;
