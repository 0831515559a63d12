import { isTractionDriven } from '../../../plan/high-voltage.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Plan } from '../../../plan/plan.ts';
import { nearBattery } from '../../../plan/tables/needs.ts';
import type { WithSpan } from '../../../plan/read.ts';
import { traceAt, named } from '../../support/words.ts';
import { alsoAt, andAt, told, unmetGroups } from '../../support/needs.ts';
import { ownHeating, stepsWithTools } from '../../support/tools.ts';
import { safetyUnsure } from '../../support/high-voltage.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const workAtBattery: FindingRule = {
  id: 'work-at-battery',
  title: say`Sparks or blades at the traction battery`,
  severity: 'error',
  means: say`A step cuts, drills, grinds, welds or brazes in the zone of the traction battery or next to it, or does a task of the shop's there that raises sparks or metal debris (or heat, in that very zone) and does not say what it needs, the battery is not certain to be out, and no source gives the vehicle maker's least distance. Where the plan does not say where the battery sits, that is told once.`,
  why: say`A battery stays live after every proof: its cells cannot be switched off. Heat and debris in the housing can start a fire that nobody stops.`,
  whatToDo: say`Name the source of the vehicle maker's distance as \`battery-distance\` in the step or under \`vehicle\`, or take the battery out first. State \`battery-zone\` of the vehicle.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'safety',
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
  *check(subject) {
    const { plan, sequence } = subject;
    const { vehicle } = plan;
    if (!vehicle || safetyUnsure(plan)) return;
    const tools = new Set(stepsWithTools(plan, nearBattery));
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
    const near = (operation: Operation): WithSpan<string> | undefined =>
      vehicle.batteryZones.find(
        ({ value }) =>
          operation.zones.length === 0 ||
          operation.zones.some(
            // Sparks reach the adjoining zones; what only heats is told at the battery itself.
            (zone) => zone === value || (tools.has(operation) && plan.scope.zones.adjoin(zone, value)),
          ),
      );
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
        message: say`${named(first)} works at or next to the traction battery in ${zone.value}, which stays live after every proof. Name the source of the vehicle maker's distance as \`battery-distance: …\`, or take the battery out first.`,
        ...andAt(others),
        trace: [
          { at: zone.span, message: say`the traction battery sits in ${zone.value}` },
          ...(culprit
            ? [traceAt(culprit, say`${named(culprit)}: the battery is in place again from here`)]
            : []),
          ...alsoAt(others),
        ],
      };
    }
  },
};

const distanceOf = (plan: Plan, { step }: Operation): string | undefined =>
  step.node.get('battery-distance')?.value ?? plan.vehicle?.batteryDistance;
