import { pairKeys } from '../../base/collections.ts';
import { andList, say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import { classRules } from '../../plan/tables/classes.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Connector } from '../../plan/scope.ts';
import type { ReportedSeverity } from '../../plan/snapshot.ts';
import type { Plan } from '../../plan/plan.ts';
import { isFuel } from '../../plan/tables/fluids.ts';
import type { ConnectorFact } from '../../plan/tables/effects.ts';
import { operationsOn, unprovenOf } from '../../sequence/facts/use.ts';
import type { Unproven } from '../../sequence/facts/use.ts';
import type { Sequence } from '../../sequence/lives.ts';
import type { FindingRule, Fix, FindingReport, CheckContext } from '../finding.ts';
import { fix, insertAfter, insertBefore, waitFor } from './mending.ts';
import type { NewStep } from './mending.ts';
import { beforeWaking, joinWays, seatChecksToJoin, stepsToJoin } from './placing.ts';
import { traceAt, spanOfMention, named, ofConnectors } from './words.ts';

/** A task owed to a connector once it is closed, and how to report it if it is missing. */
export interface Duty {
  readonly fact: ConnectorFact;
  /** The task that makes it. */
  readonly task: string;
  /**
   * Where to insert the missing step: after the closing and any work on the connector, or right before the
   * gate.
   */
  readonly place: 'after-closing' | 'after-work' | 'before-use';
  /** One step covers the whole vehicle and names no connector. */
  readonly wholeVehicle?: boolean;
  /** What later work undoes, as in "may undo *the insulation measurement* of inverter-dc". */
  readonly proof?: Phrase;
  /** `unopened`: what upset it, where the plan does not open the connectors. */
  readonly severity: (connectors: readonly Connector[], unopened?: Operation) => ReportedSeverity;
  /** Title of the fix; `connectors` are named as in "a and b". */
  readonly title: (connectors: Phrase) => Phrase;
  /** `until`: "before op90 (powering up)". */
  readonly message: (ids: readonly string[], closing: Phrase, until: Phrase) => Phrase;
  /** What to say where the task is done after the closing and before the lock, and so proves nothing. */
  readonly beforeLock?: (ids: readonly string[], done: Phrase, lock: Phrase) => Phrase;
}

/** An error where a fault of one of the connectors can hurt a person or strand the car. */
export const severityByClass = (connectors: readonly Connector[]): ReportedSeverity =>
  connectors.some((connector) => connector.class && classRules[connector.class].grave) ? 'error' : 'warning';

interface Group extends Omit<Unproven, 'connector' | 'fact'> {
  readonly connectors: Connector[];
}

/** Builds the check that finds closings after which a duty is not certain to be fulfilled. */
export function dutyCheck(duty: Duty): FindingRule['check'] {
  return (subject) => reportUnmet(subject, unprovenOf(subject.plan, duty.fact), duty);
}

/** One report per closing step and premature gate. */
function* reportUnmet(
  { plan, sequence }: CheckContext,
  owed: readonly Unproven[],
  duty: Duty,
): Generator<FindingReport> {
  const groups = new Map<string, Group>();
  const nameOf = pairKeys();
  for (const { connector, closing, before, undoneBy } of owed) {
    const key = `${nameOf(closing, before)} ${undoneBy?.id ?? ''}`;
    const group = groups.get(key);
    if (group) group.connectors.push(connector);
    else groups.set(key, { closing, before, undoneBy, connectors: [connector] });
  }
  for (const { closing, before, undoneBy, connectors } of groups.values()) {
    const ids = connectors.map(({ id }) => id);
    const tooEarly = duty.beforeLock && doneBeforeLock(sequence, closing, connectors, duty.task);
    const until = before ? say`before ${named(before)}` : say`before the plan ends`;
    yield {
      at: undoneBy ? undoneBy.span : spanOfMention(closing, ids[0]!),
      operation: (undoneBy ?? closing).id,
      ...ofConnectors(ids),
      severity: duty.severity(connectors, closing === undoneBy ? undoneBy : undefined),
      message:
        undoneBy && duty.proof
          ? say`${named(undoneBy)} may undo ${duty.proof} of ${andList(ids)}, and nothing repeats it ${until}. Do it again after ${undoneBy.id}.`
          : tooEarly
            ? duty.beforeLock!(ids, named(tooEarly.done), named(tooEarly.lock))
            : duty.message(ids, named(closing), until),
      trace: [
        ...(closing === undoneBy ? [] : [traceAt(closing, say`${closing.id} closes ${andList(ids)} here`)]),
        ...(before ? [traceAt(before, say`${named(before)}: reached without it`)] : []),
      ],
      fixes: () => {
        const { order, gates, lives } = sequence;
        const step: NewStep = {
          task: duty.task,
          fields: duty.wholeVehicle ? [] : [['connectors', `[${ids.join(', ')}]`]],
        };
        const title = duty.title(andList(ids));
        const ahead =
          duty.place === 'before-use'
            ? gates.filter((gate) => gate === before)
            : gates.filter((operation) => order.before(closing, operation));
        const filling = duty.task === 'leak-test' ? fillings(connectors) : [];
        const filled = filling
          .flatMap((task) => plan.operationsDoing(task))
          .findLast((operation) => order.before(closing, operation));
        const from = undoneBy && !order.before(undoneBy, closing) ? undoneBy : (filled ?? closing);
        const waiting = waitForStep(plan, sequence, from, connectors, duty.task, ahead);
        const inTime = (operation: Operation): boolean =>
          order.before(from, operation) && (before === undefined || order.before(operation, before));
        const joined = duty.wholeVehicle
          ? []
          : duty.task === 'check-seated'
            ? seatChecksToJoin(plan, inTime)
            : stepsToJoin(plan, duty.task, ids, inTime);
        const known = [waiting, ...joinWays(plan, joined, ids)];
        if (duty.place === 'before-use') {
          const end = plan.steps.at(-1)!;
          const scans = plan
            .operationsDoing('scan')
            .filter((operation) => inTime(operation) && duty.task !== 'scan');
          const places = [scans.at(-1) ?? [], before ?? []].flat();
          return [
            [
              ...known,
              ...places.map(({ planStep }) =>
                fix(
                  say`${title} before ${planStep.id}`,
                  insertBefore(plan, planStep, [step], [from.planStep]),
                ),
              ),
              before && duty.task === 'calibrate'
                ? fix(
                    say`${title} and scan for fault codes before ${before.planStep.id}`,
                    insertBefore(
                      plan,
                      before.planStep,
                      [step, { task: 'scan', fields: [] }],
                      [from.planStep],
                    ),
                  )
                : undefined,
              before ? undefined : fix(say`${title} at the end`, insertAfter(plan, end, [step], [])),
            ],
          ];
        }
        const done =
          duty.place === 'after-closing'
            ? []
            : ids
                .flatMap((id) => lives.get(id)?.operations ?? [])
                .filter((operation) => order.before(from, operation))
                .filter(({ taskId }) => duty.task === 'measure-insulation' || !proving.has(taskId))
                .filter((operation) => before && order.before(operation, before))
                .sort((a, b) => order.compare(a, b));
        const anchor = (done.at(-1) ?? from).planStep;
        const later = ids
          .flatMap((id) => lives.get(id)?.operations ?? [])
          .filter((operation) => order.before(from, operation) && !done.includes(operation));
        const followers = [...later, ...ahead]
          .map(({ planStep }) => planStep)
          .filter((one) => one !== anchor);
        const after = fix(say`${title} after ${anchor.id}`, insertAfter(plan, anchor, [step], followers));
        const late = (before ? beforeWaking(plan, before, [from, ...done]) : []).map((place) =>
          fix(
            say`${title} before ${place.id}`,
            insertBefore(
              plan,
              place,
              [step],
              [from, ...done].map(({ planStep }) => planStep),
            ),
          ),
        );
        // One check of all seats once the work around them is done.
        return [duty.task === 'check-seated' ? [...known, ...late, after] : [...known, after, ...late]];
      },
    };
  }
}

/** The task and the lock that follows it, where the task is done on the closed connector before that is locked. */
function doneBeforeLock(
  { order, lives }: Sequence,
  closing: Operation,
  connectors: readonly Connector[],
  task: string,
): { readonly done: Operation; readonly lock: Operation } | undefined {
  const [connector] = connectors;
  if (!connector?.lock || connectors.length > 1) return undefined;
  const later = (lives.get(connector.id)?.operations ?? []).filter((operation) =>
    order.before(closing, operation),
  );
  const done = later.find(({ taskId }) => taskId === task);
  const lock =
    done && later.find((operation) => operation.taskId === 'lock' && order.before(done, operation));
  return done && lock ? { done, lock } : undefined;
}

/** Checks and measurements, which leave the connector as it is. */
const proving: ReadonlySet<string> = new Set([
  'check-seated',
  'measure-resistance',
  'measure-insulation',
  'measure-bonding',
  'prove-interlock',
  'leak-test',
]);

/** If the plan already does the task but does not order it, make the gates wait for it. */
function waitForStep(
  plan: Plan,
  sequence: Sequence,
  closing: Operation,
  connectors: readonly Connector[],
  task: string,
  ahead: readonly Operation[],
): Fix | undefined {
  const { order } = sequence;
  const done = connectors
    .map((connector) => operationsOn(sequence, connector, task))
    .reduce((all, own) => all.filter((step) => own.includes(step)))
    .find((operation) => order.before(closing, operation));
  if (!done) return undefined;
  const loose = ahead.filter((operation) => order.unordered(done, operation));
  const first = loose.filter((operation) => !loose.some((other) => order.before(other, operation)));
  return fix(
    say`Do ${andList(first.map(({ planStep }) => planStep.id))} only after ${done.planStep.id}`,
    first.map(({ planStep }) => waitFor(plan, planStep, [done.planStep.id])),
  );
}

/** The tasks that fill what is tested for leaks only when it is full. */
const fillings = (connectors: readonly Connector[]): readonly string[] => [
  ...(connectors.some(({ medium }) => medium === 'coolant') ? ['fill-coolant'] : []),
  ...(connectors.some(({ medium }) => isFuel(medium)) ? ['refuel'] : []),
];
