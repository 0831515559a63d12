import { addToGroup } from '../../../base/collections.ts';
import { stillOpenIn } from '../../../sequence/facts/use.ts';
import type { ConnectorHistory } from '../../../sequence/life.ts';
import type { Sequence } from '../../../sequence/lives.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Plan } from '../../../plan/plan.ts';
import { andList, say } from '../../../language/phrase.ts';
import type { FindingRule, FindingReport } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { closingWays, provedAfter } from '../../support/closing.ts';
import { fix, insertAfter, stepOn, waitFor } from '../../support/mending.ts';
import { traceAt, spanOfMention, named, traceOpening } from '../../support/words.ts';

export const notReconnected: FindingRule = {
  id: 'not-reconnected',
  title: say`Powered, moved or delivered with a connector open`,
  severity: 'error',
  means: say`A connector that was opened is not certain to be closed again before the vehicle is powered up, moved under its own power, road-tested or handed over.`,
  why: say`An open high-voltage or restraint connector can hurt whoever powers up the vehicle; any other leaves a fault that the customer finds.`,
  whatToDo: say`Reconnect it before that step, and make that step wait for it.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'order',
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
  *check({ plan, sequence, isActive: counts }) {
    const { order } = sequence;
    /** By the gate that may come before the closings. */
    const early = new Map<Operation, ClosedLate[]>();
    for (const { connector, opened, gates: passed } of stillOpenIn(plan)) {
      const life = sequence.life(connector.id)!;
      const closing = life.events.find(
        ({ act, operation }) => act === 'reconnect' && order.compare(opened, operation) < 0,
      )?.operation;
      const gate = passed[0]!;
      if (closing) addToGroup(early, gate, { life, opened, closing, passed });
      else yield neverClosed(plan, life, opened, passed);
    }
    for (const [gate, all] of early) {
      const isAccepted = ({ life, closing }: ClosedLate): boolean =>
        !counts('not-reconnected', { operation: closing.id, connector: life.connector.id });
      const [accepted, others] = [all.filter(isAccepted), all.filter((one) => !isAccepted(one))];
      for (const late of accepted) yield closedLate(plan, sequence, gate, [late]);
      if (others.length > 0) yield closedLate(plan, sequence, gate, others);
    }
  },
};

interface ClosedLate {
  readonly life: ConnectorHistory;
  readonly opened: Operation;
  readonly closing: Operation;
  /** The gates that may come before the closing. */
  readonly passed: readonly Operation[];
}

/** A gate that may come before connectors are closed: one finding, however many there are. */
function closedLate(
  plan: Plan,
  { order }: Sequence,
  gate: Operation,
  late: readonly ClosedLate[],
): FindingReport {
  const [only] = late;
  const single = late.length === 1 ? only! : undefined;
  const ids = late.map(({ life }) => life.connector.id);
  const closers = [...new Set(late.map(({ closing }) => closing))];
  const passed = [...new Set(late.flatMap((one) => one.passed))];
  return {
    at: single ? spanOfMention(single.closing, ids[0]!) : gate.span,
    operation: (single?.closing ?? gate).id,
    ...(single ? { connector: ids[0]! } : {}),
    message: single
      ? say`${ids[0]!} is reconnected by ${named(single.closing)}, but ${named(gate)} may come first. Make ${gate.planStep.id} wait for ${single.closing.planStep.id}.`
      : say`${named(gate)} may come while ${andList(ids)} are still open: they are closed by ${andList(closers.map(({ id }) => id))}. Make ${gate.planStep.id} wait for that, and for the proofs that follow it.`,
    trace: [
      ...late.slice(0, 5).map(({ life, opened }) => traceOpening(opened, life.connector)),
      ...passed.map((one) => traceAt(one, say`${named(one)}: ${andList(ids)} may still be open here`)),
    ],
    fixes: () => {
      const waits = new Set<string>();
      for (const { life, closing } of late) {
        const proofs = provedAfter(life.connector);
        const done = life.operations.filter(
          (one) => proofs.includes(one.taskId) && order.before(closing, one),
        );
        const missing = proofs.filter((task) => done.every(({ taskId }) => taskId !== task));
        const last = done.at(-1) ?? closing;
        if (missing.length > 0) {
          if (!single) return [];
          const free = passed.filter((one) => !order.before(one, closing) && !order.before(gate, one));
          return [
            fix(
              say`Do ${gate.planStep.id} only after ${closing.planStep.id}`,
              insertAfter(
                plan,
                last.planStep,
                missing.map((task) => stepOn(task, life.connector.id)),
                free.map(({ planStep }) => planStep),
              ),
            ),
          ];
        }
        waits.add(last.planStep.id);
      }
      const free = passed.filter(
        (one) => late.every(({ closing }) => !order.before(one, closing)) && !order.before(gate, one),
      );
      return [
        fix(
          say`Do ${gate.planStep.id} only after ${andList(closers.map(({ planStep }) => planStep.id))}`,
          free.map((one) => waitFor(plan, one.planStep, [...waits])),
        ),
      ];
    },
  };
}

function neverClosed(
  plan: Plan,
  life: ConnectorHistory,
  opened: Operation,
  passed: readonly Operation[],
): FindingReport {
  const { connector } = life;
  const gate = passed[0]!;
  return {
    at: spanOfMention(opened, connector.id),
    operation: opened.id,
    connector: connector.id,
    message: say`${connector.id} is opened by ${named(opened)} and still open at ${named(gate)}. Reconnect it before ${gate.id}.`,
    trace: [
      traceOpening(opened, connector),
      ...passed.map((one) => traceAt(one, say`${named(one)}: ${connector.id} may still be open here`)),
    ],
    fixes: () => [closingWays(plan, life, opened, gate)],
  };
}
