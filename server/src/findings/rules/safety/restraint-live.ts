import { listed, say } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import { livesThat } from '../../../sequence/lives.ts';
import type { Sequence } from '../../../sequence/lives.ts';
import type { Plan } from '../../../plan/plan.ts';
import type { Finding } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { fix, insertBefore } from '../../support/mending.ts';
import { at, mention, named } from '../../support/words.ts';

/** Connectors of restraints, as far as their lives are known. */
const restraintsOf = livesThat(({ connector, unsure }) => !unsure && connector.class === 'restraint');

export const restraintLive: Finding = {
  id: 'restraint-live',
  title: say`A restraint connector opened or closed with the 12 V battery on`,
  severity: 'error',
  means: say`A restraint connector is opened or closed, and the 12 V battery is not certain to be disconnected at that moment.`,
  why: say`An airbag or a belt tensioner can fire into the hands that hold its plug.`,
  todo: say`Disconnect the 12 V battery first and wait as the vehicle maker states; connect it again after the last restraint connector is closed, with nobody inside.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'order',
  example: {
    wrong: `connectors:
  - { id: curtain-airbag, class: restraint, zone: quarter-left }
operations:
  - { id: op20, do: disconnect, connectors: [curtain-airbag] }
`,
    right: `connectors:
  - { id: curtain-airbag, class: restraint, zone: quarter-left }
operations:
  - { id: op10, do: battery-12v-off }
  - { id: op20, do: disconnect, connectors: [curtain-airbag] }
`,
  },
  *check({ plan, sequence }) {
    const handled = new Map<Operation, string[]>();
    for (const { connector, events, unclear } of restraintsOf(plan)) {
      if (unclear) continue;
      for (const { act, operation } of events) {
        if (act !== 'disconnect' && act !== 'reconnect') continue;
        const { safe } = supply(plan, sequence, operation);
        if (safe) continue;
        handled.set(operation, [...(handled.get(operation) ?? []), connector.id]);
        // Never off is one mistake, told where it begins.
        break;
      }
    }
    for (const [operation, ids] of handled) {
      const { back } = supply(plan, sequence, operation);
      const doing =
        operation.taskId === 'disconnect'
          ? say`${named(operation)} opens ${listed(ids)}`
          : say`${named(operation)} closes ${listed(ids)}`;
      yield {
        at: mention(operation, ids[0]!),
        operation: operation.id,
        ...(ids.length === 1 ? { connector: ids[0]! } : {}),
        message: back
          ? say`${doing}, and the 12 V battery may be on again by ${named(back)}: an airbag can fire. Disconnect it first, and wait as the maker states.`
          : say`${doing}, and the 12 V battery is not disconnected before it: an airbag can fire. Disconnect it first, and wait as the maker states.`,
        trace: back ? [at(back, say`${named(back)}: the battery may be on from here`)] : [],
        fixes: () =>
          back
            ? []
            : [
                fix(
                  say`Disconnect the 12 V battery before ${operation.planStep.id}`,
                  insertBefore(plan, operation.planStep, [{ task: 'battery-12v-off', fields: [] }]),
                ),
              ],
      };
    }
  },
};

/** Whether the 12 V battery is certain to be off at `operation`; if not, the step that may have put it back. */
function supply(
  plan: Plan,
  { order }: Sequence,
  operation: Operation,
): { readonly safe: boolean; readonly back: Operation | undefined } {
  const offs = plan.doing('battery-12v-off').filter((one) => order.before(one, operation));
  const ons = plan.doing('battery-12v-on');
  const backs = offs.map((one) => ons.find((on) => order.mayFallBetween(one, on, operation)));
  return { safe: backs.includes(undefined), back: backs[0] };
}
