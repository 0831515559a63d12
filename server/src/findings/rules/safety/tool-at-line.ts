import type { Operation } from '../../../plan/operations.ts';
import { cutsLines, heatsLines, ofToolsInMetal, sparksAtFuel } from '../../../plan/tables/needs.ts';
import { historiesWhere } from '../../../sequence/lives.ts';
import { ConnectorFacts } from '../../../sequence/facts/timeline.ts';
import type { Sequence } from '../../../sequence/lives.ts';
import type { Plan } from '../../../plan/plan.ts';
import { gases } from '../../../plan/tables/fluids.ts';
import { fuelLines, isFuelOut, isInFuelZone, waitForEmptying } from '../../support/fuel.ts';
import { fuelAt, stepsAtFullLines, stepsAtPressure } from '../../support/lines.ts';
import { alsoAt, andAt, someOf, told } from '../../support/needs.ts';
import { actsAs, withOwn } from '../../support/tools.ts';
import { orderOrAdd } from '../../support/mending.ts';
import { named, ofConnectors } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const toolAtLine: FindingRule = {
  id: 'tool-at-line',
  title: say`A blade or a drill where a full line runs`,
  severity: 'warning',
  page: () => ({
    means: say`A step cuts or drills in the zone of a refrigerant or coolant line (the latter is information, and not told once it is inspected), and the line is not certain to be empty, or of a line under stored pressure (\`medium: hydraulic\` or \`compressed-air\`) that is not certain to be relieved; or a step cuts, drills or grinds, or does a task of the shop's own that raises sparks or metal debris and does not say what it needs, where fuel runs (a fuel line, or \`fuel-zone\` of the vehicle), and the fuel system is not certain to be emptied. The last is an error, of diesel alone a warning. A step that straightens where gas runs that is not certain to be let out is a warning.`,
    why: say`Refrigerant that bursts out freezes eyes and skin; a jet of brake fluid or oil goes through them; coolant that runs into a high-voltage part makes a path for its current. Sparks light petrol, hydrogen and other gas, and a blade lets them out.`,
    whatToDo: say`Empty the line first, or relieve its pressure: refrigerant by a certified person, all else as the vehicle maker specifies.`,
    source: commonPractice,
    example: {
      wrong: `connectors:
  - { id: condenser-hose, class: fluid-line, zone: motor-bay, medium: refrigerant }
operations:
  - { id: op50, do: drill, zone: motor-bay }
`,
      right: `connectors:
  - { id: condenser-hose, class: fluid-line, zone: motor-bay, medium: refrigerant }
operations:
  - { id: op10, do: recover-refrigerant }
  - { id: op50, do: drill, zone: motor-bay }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  *check(subject) {
    const { plan, sequence } = subject;
    for (const medium of ['refrigerant', 'coolant'] as const) {
      const lines = placedLines(plan).filter(({ connector }) => connector.medium === medium);
      const isPlaced = ({ zones }: Operation): boolean => zones.length > 0;
      for (const [step, ids] of stepsAtFullLines(
        plan,
        sequence,
        lines,
        cutsLines,
        isPlaced,
        (facts, step) => facts.isMet('line-empty', step) || (medium === 'coolant' && isFound(facts, step)),
      )) {
        yield {
          at: step.span,
          operation: step.id,
          ...ofConnectors(ids),
          severity: medium === 'refrigerant' ? 'warning' : 'information',
          message:
            medium === 'refrigerant'
              ? say`${named(step)} works where ${someOf(ids)} runs, and the refrigerant is not certain to be recovered: a line that is cut open freezes eyes and skin. Have a certified person recover the refrigerant before ${step.id}.`
              : say`${named(step)} works where ${someOf(ids)} runs, and the coolant is not certain to be drained: a cut line floods what is below it. Drain the coolant before ${step.id}, or find the line first, as the vehicle maker specifies, and write that as an \`inspect\` of ${someOf(ids)}.`,
          fixes: () =>
            medium === 'refrigerant'
              ? [
                  orderOrAdd(
                    plan,
                    step,
                    'recover-refrigerant',
                    say`Recover the refrigerant before ${step.planStep.id}`,
                  ),
                ]
              : [],
        };
      }
    }
    for (const [step, ids] of stepsAtPressure(plan, sequence, cutsLines)) {
      yield {
        at: step.span,
        operation: step.id,
        ...ofConnectors(ids),
        message: say`${named(step)} works where ${someOf(ids)} runs, and the pressure there is not certain to be relieved: a jet from a cut line goes through skin and eyes. Have the pressure relieved before ${step.id}, as the vehicle maker specifies.`,
        fixes: () => [waitForEmptying(plan, step, 'relieve-pressure')],
      };
    }
    // A task of the shop's own that raises heat as well is told by `heat-at-line`.
    const heating = withOwn(plan, heatsLines, 'lines', 'heat');
    const sparking = withOwn(plan, sparksAtFuel, 'lines', ...ofToolsInMetal);
    const tools = new Set([...sparking].filter((task) => !heating.has(task)));
    for (const { ids, steps, sparkLit } of fuelAt(plan, sequence, tools)) {
      for (const { first, others } of told(subject, 'tool-at-line', [{ culprit: undefined, steps }])) {
        yield {
          at: first.span,
          operation: first.id,
          ...ofConnectors(ids),
          severity: sparkLit ? 'error' : 'warning',
          message:
            ids.length > 0
              ? say`${named(first)} works where ${someOf(ids)} runs, and the fuel is not certain to be out: a blade opens the line, and a spark lights it. Have the fuel system emptied and freed of vapour before ${first.id}, as the vehicle maker specifies.`
              : say`${named(first)} works where fuel runs (\`fuel-zone\`), and the fuel is not certain to be out: a blade opens the line, and a spark lights it. Have the fuel system emptied and freed of vapour before ${first.id}, as the vehicle maker specifies.`,
          ...andAt(others),
          trace: alsoAt(others),
          fixes: () => [waitForEmptying(plan, first, 'defuel')],
        };
      }
    }
    const pulls = [...new Set(pullsAtGas(plan, sequence))].sort((a, b) => sequence.order.compare(a, b));
    if (pulls.length === 0) return;
    for (const { first, others } of told(subject, 'tool-at-line', [{ culprit: undefined, steps: pulls }])) {
      yield {
        at: first.span,
        operation: first.id,
        severity: 'warning',
        message: say`${named(first)} pulls where a tank or a line of gas may be under pressure: a fitting that tears lets it out, and it explodes at a spark. Have the gas let out before ${first.id}, as the vehicle maker specifies.`,
        ...andAt(others),
        trace: alsoAt(others),
        fixes: () => [waitForEmptying(plan, first, 'defuel')],
      };
    }
  },
};

/** The steps that straighten where a line of gas runs that is not certain to be relieved, or where the gas of a fuel cell runs. */
function* pullsAtGas(plan: Plan, sequence: Sequence): Generator<Operation> {
  for (const life of fuelLines(plan).filter(({ connector }) => gases.has(connector.medium!))) {
    const facts = new ConnectorFacts(plan, sequence, life);
    for (const step of sequence.workingIn(life.connector.zone, 'straighten'))
      if (step.zones.length > 0 && !facts.isMet('depressurised', step)) yield step;
  }
  if (plan.vehicle?.node.get('propulsion')?.value !== 'fuel-cell') return;
  for (const step of plan.operationsDoing('straighten'))
    if (step.zones.length > 0 && isInFuelZone(plan, step) && !isFuelOut(plan, step)) yield step;
}

/** Whether somebody has looked where a line runs before a blade comes near it. */
const isFound = ({ life, sequence }: ConnectorFacts, step: Operation): boolean =>
  life.operations.some((look) => looks(look) && sequence.order.before(look, step));
const looks = actsAs('inspect', 'inspected');

const placedLines = historiesWhere(
  ({ connector, unsure }) => !unsure && connector.class === 'fluid-line' && connector.zone !== undefined,
);
