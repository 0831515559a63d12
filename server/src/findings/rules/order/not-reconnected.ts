import { addToGroup } from '../../../base/collections.ts';
import { stillOpenIn } from '../../../sequence/facts/use.ts';
import type { StillOpen } from '../../../sequence/facts/use.ts';
import type { ConnectorHistory } from '../../../sequence/life.ts';
import type { Sequence } from '../../../sequence/lives.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Plan } from '../../../plan/plan.ts';
import { wakesPumps } from '../../../plan/tables/needs.ts';
import { andList, say } from '../../../language/phrase.ts';
import type { FindingRule, FindingReport } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { closingWays, provedAfter } from '../../support/closing.ts';
import { fix, insertAfter, stepOn, waitFor } from '../../support/mending.ts';
import { traceAt, spanOfMention, named, traceOpening, ofConnectors, metBy } from '../../support/words.ts';

export const notReconnected: FindingRule = {
  id: 'not-reconnected',
  title: say`Powered, moved or delivered with a connector open`,
  severity: 'error',
  page: () => ({
    means: say`A connector that was opened is not certain to be closed again before the vehicle is powered up, moved under its own power, road-tested or handed over; or a high-voltage connector is not certain to be closed before the connector whose opening is the isolation (\`isolates: true\`) is closed. Or a line of fuel, brakes or suspension is not certain to be closed before control units are scanned, calibrated or programmed, which may start its pump. A sensor or low-voltage connector that is covered on both halves while the vehicle is moved between bays is information; an earth that is open at power-up, but not on the road, is a warning.`,
    why: say`An open high-voltage or restraint connector can hurt whoever powers up the vehicle; any other leaves a fault that the customer finds.`,
    whatToDo: say`Reconnect it before that step, and make that step wait for it.`,
    source: commonPractice,
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
  }),
  kinds: plansOnly,
  ground: 'order',
  *check({ plan, sequence, isActive: counts }) {
    const { order } = sequence;
    /** By the gate that may come before the closings. */
    const early = new Map<Operation, ClosedLate[]>();
    const moved = new Map<Operation, StillOpen[]>();
    for (const stillOpen of stillOpenIn(plan)) {
      const { connector, opened, gates: passed, as } = stillOpen;
      if (as === 'covered') {
        // A move at which it is accepted is told by itself.
        const open = passed.filter((gate) => counts('not-reconnected', { operation: gate.id }));
        for (const gate of passed)
          if (!open.includes(gate)) addToGroup(moved, gate, { ...stillOpen, gates: [gate] });
        if (open.length > 0) addToGroup(moved, open[0]!, { ...stillOpen, gates: open });
        continue;
      }
      const life = sequence.life(connector.id)!;
      const closing = life.events.find(
        ({ act, operation }) => act === 'reconnect' && order.compare(opened, operation) < 0,
      )?.operation;
      const gate = passed[0]!;
      if (closing) addToGroup(early, gate, { life, opened, closing, passed, as });
      else yield { ...neverClosed(plan, life, opened, passed), ...severityAs([stillOpen]) };
    }
    for (const [gate, all] of moved) yield movedCovered(gate, all);
    for (const [gate, all] of early) {
      const isAccepted = ({ life, closing }: ClosedLate): boolean =>
        !counts('not-reconnected', { operation: closing.id, connector: life.connector.id });
      const [accepted, others] = [all.filter(isAccepted), all.filter((one) => !isAccepted(one))];
      for (const late of [...accepted.map((one) => [one]), ...(others.length > 0 ? [others] : [])])
        yield { ...closedLate(plan, sequence, gate, late), ...severityAs(late) };
    }
  },
};

/** An earth that is open at power-up alone is a warning. */
const severityAs = (open: readonly Pick<StillOpen, 'as'>[]): Pick<FindingReport, 'severity'> =>
  open.every(({ as }) => as === 'earth') ? { severity: 'warning' } : {};

/** Sensors and lamps that stay open, with their covers on, while the vehicle is moved between bays. */
function movedCovered(gate: Operation, open: readonly StillOpen[]): FindingReport {
  const ids = open.map(({ connector }) => connector.id);
  const later = [...new Set(open.flatMap(({ gates }) => gates))].filter((operation) => operation !== gate);
  return {
    at: gate.span,
    operation: gate.id,
    ...ofConnectors(ids),
    severity: 'information',
    message: say`${named(gate)} comes with open connectors under their covers: ${andList(ids)}. Make sure that the vehicle brakes, steers and is seen without them, as the vehicle maker specifies.`,
    trace: [
      ...open.slice(0, 5).map(({ opened, connector }) => traceOpening(opened, connector)),
      ...later
        .slice(0, 4)
        .map((operation) =>
          traceAt(operation, say`${named(operation)}: ${andList(ids)} may still be open here`),
        ),
    ],
    also: later.map(({ id }) => id),
  };
}

/** A step that counts as a gate only because it wakes control units, for lines under the pressure of a pump or a tank. */
const startsPump = ({ taskId }: Operation): boolean => wakesPumps.has(taskId);

interface ClosedLate extends Pick<StillOpen, 'as'> {
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
    ...ofConnectors(ids),
    ...metBy(passed),
    message: single
      ? startsPump(gate)
        ? say`${ids[0]!} is reconnected by ${named(single.closing)}, but ${named(gate)} may come first and may start the pump or open the tank: what ${ids[0]!} holds sprays out. Make ${gate.planStep.id} wait for ${single.closing.planStep.id}.`
        : say`${ids[0]!} is reconnected by ${named(single.closing)}, but ${named(gate)} may come first. Make ${gate.planStep.id} wait for ${single.closing.planStep.id}.`
      : say`${named(gate)} may come while ${andList(ids)} are still open: they are closed by ${andList(closers.map(({ id }) => id))}. Make ${gate.planStep.id} wait for that, and for the proofs that follow it.`,
    trace: [
      ...late.slice(0, 5).map(({ life, opened }) => traceOpening(opened, life.connector)),
      ...passed.map((operation) =>
        traceAt(operation, say`${named(operation)}: ${andList(ids)} may still be open here`),
      ),
    ],
    fixes: () => {
      const waits = new Set<string>();
      for (const { life, closing } of late) {
        const proofs = provedAfter(life.connector);
        const done = life.operations.filter(
          (operation) => proofs.includes(operation.taskId) && order.before(closing, operation),
        );
        const missing = proofs.filter((task) => done.every(({ taskId }) => taskId !== task));
        const last = done.at(-1) ?? closing;
        if (missing.length > 0) {
          if (!single) return [];
          const free = passed.filter(
            (operation) => !order.before(operation, closing) && !order.before(gate, operation),
          );
          return [
            fix(
              say`Do ${gate.planStep.id} only after ${closing.planStep.id}, with the missing steps in between: ${andList(missing.map((task) => plan.scope.tasks.get(task)!.doing))}`,
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
        (operation) =>
          late.every(({ closing }) => !order.before(operation, closing)) && !order.before(gate, operation),
      );
      return [
        fix(
          say`Do ${gate.planStep.id} only after ${andList(closers.map(({ planStep }) => planStep.id))}`,
          free.map((operation) => waitFor(plan, operation.planStep, [...waits])),
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
    ...metBy(passed),
    message: startsPump(gate)
      ? say`${connector.id} is opened by ${named(opened)} and still open at ${named(gate)}, which may start the pump or open the tank: what ${connector.id} holds sprays out. Reconnect it before ${gate.id}.`
      : say`${connector.id} is opened by ${named(opened)} and still open at ${named(gate)}. Reconnect it before ${gate.id}.`,
    trace: [
      traceOpening(opened, connector),
      ...passed.map((operation) =>
        traceAt(operation, say`${named(operation)}: ${connector.id} may still be open here`),
      ),
    ],
    fixes: () => [closingWays(plan, life, opened, gate)],
  };
}
