import { say } from '../../../language/phrase.ts';
import { classRules } from '../../../plan/tables/classes.ts';
import type { Connector } from '../../../plan/scope.ts';
import type { Finding } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { fix, insertAfter, insertBefore, stepOn, waitFor } from '../../support/mending.ts';
import { at, mention, named, opening } from '../../support/words.ts';

export const notReconnected: Finding = {
  id: 'not-reconnected',
  title: say`Powered, moved or delivered with a connector open`,
  severity: 'error',
  means: say`A connector that was opened is not certain to be closed again before the vehicle is powered up, moved under its own power, road-tested or handed over.`,
  why: say`An open high-voltage or restraint connector can hurt whoever powers the car; any other one leaves a fault that is found by the customer.`,
  todo: say`Reconnect it before that step, and say so in the order.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
  example: {
    wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op90, do: power-up }
`,
    right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op70, do: inspect, connectors: [inverter-dc] }
  - { id: op80, do: reconnect, connectors: [inverter-dc] }
  - { id: op90, do: power-up }
`,
  },
  *check({ plan, sequence, lives }) {
    const { order, gates } = sequence;
    for (const { connector, events, operations, unsure, unclear } of lives) {
      if (unsure || unclear) continue;
      for (const [i, { act, operation: open }] of events.entries()) {
        if (act !== 'disconnect') continue;
        const closing = events.slice(i + 1).find((event) => event.act === 'reconnect')?.operation;
        const passed = gates
          .filter((one) => !order.before(one, open))
          .filter((one) => !closing || !order.before(closing, one))
          .sort((a, b) => order.compare(a, b));
        const gate = passed[0];
        if (!gate) continue;
        yield {
          at: mention(closing ?? open, connector.id),
          operation: (closing ?? open).id,
          connector: connector.id,
          message: closing
            ? say`${connector.id} is reconnected by ${named(closing)}, but ${named(gate)} may come first. Order ${gate.planStep.id} after ${closing.planStep.id}.`
            : say`${connector.id} is opened by ${named(open)} and still open at ${named(gate)}. Reconnect it before ${gate.id}.`,
          trace: [
            opening(open, connector),
            ...passed.map((one) => at(one, say`${named(one)}: ${connector.id} may still be open here`)),
          ],
          fixes: () => {
            if (closing) {
              const free = passed.filter((one) => !order.before(one, closing) && !order.before(gate, one));
              const proofs = provedAfter(connector);
              const done = operations.filter(
                (one) => proofs.includes(one.taskId) && order.before(closing, one),
              );
              const missing = proofs.filter((task) => done.every(({ taskId }) => taskId !== task));
              const last = done.at(-1) ?? closing;
              return [
                fix(
                  say`Do ${gate.planStep.id} only after ${closing.planStep.id}`,
                  missing.length > 0
                    ? insertAfter(
                        plan,
                        last.planStep,
                        missing.map((task) => stepOn(task, connector.id)),
                        free.map(({ planStep }) => planStep),
                      )
                    : free.map((one) => waitFor(plan, one.planStep, [last.planStep.id])),
                ),
              ];
            }
            const later = operations.filter((one) => order.before(open, one));
            const tasks = later.map(({ taskId }) => taskId);
            const before = connector.class ? classRules[connector.class].beforeClosing : [];
            const steps = [
              ...(tasks.includes('cover') && !tasks.includes('uncover') ? ['uncover'] : []),
              ...before.filter((task) => !tasks.includes(task)),
              'reconnect',
              ...provedAfter(connector),
            ].map((task) => stepOn(task, connector.id));
            return [
              fix(
                say`Reconnect ${connector.id} before ${gate.planStep.id}`,
                insertBefore(plan, gate.planStep, steps, [
                  open.planStep,
                  ...later.map(({ planStep }) => planStep),
                ]),
              ),
            ];
          },
        };
      }
    }
  },
};

/** What is owed after closing and before the vehicle is used; the scan comes once it is powered. */
const provedAfter = ({ class: kind, lock }: Connector): readonly string[] =>
  (kind ? classRules[kind].afterClosing : []).filter((task) => task !== 'scan' && (task !== 'lock' || lock));
