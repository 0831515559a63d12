import { addToGroup } from '../../../base/collections.ts';
import { say } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import { rollsUnpowered } from '../../../plan/tables/needs.ts';
import { pushesByName } from '../../../plan/tables/own-names.ts';
import { ConnectorFacts } from '../../../sequence/facts/timeline.ts';
import { historiesWhere } from '../../../sequence/lives.ts';
import { onlyAfter } from '../../support/mending.ts';
import { someOf } from '../../support/needs.ts';
import { isOwnTask } from '../../support/tools.ts';
import { named, traceAt, ofConnectors } from '../../support/words.ts';
import type { FindingRule, Trace } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const rolledUnbraked: FindingRule = {
  id: 'rolled-unbraked',
  title: say`Rolled or towed with a brake line open or not bled`,
  severity: 'warning',
  page: () => ({
    means: say`The vehicle is pushed by hand, towed, aligned or sent to another firm (also by a task of the shop's own with such a name) while a line of \`medium: hydraulic\` (brakes, steering) may be open, or closed and not bled. A vehicle that is driven so is told by \`not-reconnected\` and \`leak-untested\`.`,
    why: say`A pedal without pressure stops nothing. A vehicle that gets away on a slope or a ramp crushes whoever is in its way, and whoever sits at the wheel cannot stop the vehicle.`,
    whatToDo: say`Close and bleed the line before the vehicle is moved. Otherwise hold the vehicle by something else, such as dollies with brakes of their own or a winch, as the vehicle maker specifies, and keep people out of its way; then accept the finding with that reason.`,
    source: commonPractice,
    example: {
      wrong: `connectors:
  - { id: brake-line, class: fluid-line, medium: hydraulic, zone: front-left }
operations:
  - { id: op20, do: disconnect, connectors: [brake-line] }
  - { id: op30, do: roll, drive-wheels: free }
`,
      right: `connectors:
  - { id: brake-line, class: fluid-line, medium: hydraulic, zone: front-left }
operations:
  - { id: op20, do: disconnect, connectors: [brake-line] }
  - { id: op22, do: reconnect, connectors: [brake-line] }
  - { id: op24, do: bleed, connectors: [brake-line] }
  - { id: op30, do: roll, drive-wheels: free }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  needsEveryStep: true,
  *check({ plan, sequence }) {
    const { order } = sequence;
    const steps = pushing(plan).toSorted((a, b) => order.compare(a, b));
    if (steps.length === 0) return;
    const found = new Map<Operation, { id: string; trace: Trace[]; bleeding: readonly Operation[] }[]>();
    for (const life of hydraulicLines(plan)) {
      const { id } = life.connector;
      const facts = new ConnectorFacts(plan, sequence, life);
      for (const { step, verdict } of facts.unmetAt('bled', steps)) {
        const { culprit, candidates } = verdict;
        const trace = culprit ? [traceAt(culprit, say`${culprit.id}: ${id} is opened here`)] : [];
        addToGroup(found, step, { id, trace, bleeding: candidates });
      }
    }
    for (const [step, lines] of found) {
      const ids = lines.map(({ id }) => id);
      yield {
        at: step.span,
        operation: step.id,
        ...ofConnectors(ids),
        message: say`${named(step)} comes while ${someOf(ids)} may be open or not bled: a vehicle that does not brake crushes whoever is in its way. Close and bleed the brakes before ${step.id}, or hold the vehicle by something else, such as dollies with brakes of their own, as the vehicle maker specifies.`,
        trace: lines.flatMap(({ trace }) => trace),
        fixes: () => {
          const ready = lines.map(({ bleeding }) => bleeding.find((one) => !order.before(step, one)));
          return [
            ready.includes(undefined)
              ? undefined
              : onlyAfter(plan, step, ...new Set(ready.flatMap((one) => one ?? []))),
          ];
        },
      };
    }
  },
};

const pushing = operationsWhere(
  (operation) =>
    rollsUnpowered.has(operation.taskId) ||
    (isOwnTask(operation) && pushesByName(operation.taskId) && !operation.task!.gate),
);

const hydraulicLines = historiesWhere(
  ({ connector, unsure }) => !unsure && connector.class === 'fluid-line' && connector.medium === 'hydraulic',
);
