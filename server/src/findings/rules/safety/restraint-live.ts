import { addToGroup, emptyList } from '../../../base/collections.ts';
import { query } from '../../../incremental/query.ts';
import { hasIgniter } from '../../../plan/tables/classes.ts';
import { andList, say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import { SnapshotPlan } from '../../../plan/plan.ts';
import type { Plan } from '../../../plan/plan.ts';
import type { Snapshot } from '../../../plan/snapshot.ts';
import {
  ignitersMaySit,
  mayCarryIgniters,
  mayHitIgniters,
  needsRestraintSafe,
  ofToolsInMetal,
} from '../../../plan/tables/needs.ts';
import { firesAirbags } from '../../../plan/tables/own-names.ts';
import { isVehicleFactMet, vehicleTimeline, vehicleVerdict } from '../../../sequence/facts/timeline.ts';
import { historiesWhere, sequenceOf } from '../../../sequence/lives.ts';
import type { Sequence } from '../../../sequence/lives.ts';
import type { CheckContext, FindingReport, FindingRule, FixWays } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { longerWait } from '../../support/high-voltage.ts';
import { fix, insertAfter, insertBefore, onlyAfter } from '../../support/mending.ts';
import { alsoAt, andAt, told, toldApart, unmetGroups } from '../../support/needs.ts';
import type { NewStep } from '../../support/mending.ts';
import { followWays, offWithTheOthers } from '../../support/make-safe.ts';
import { withOwn } from '../../support/tools.ts';
import { traceAt, spanOfMention, named, ofConnectors } from '../../support/words.ts';

/** Work in the zone of a restraint connector that does not handle it. */
const besideIgniters: ReadonlySet<string> = new Set([...mayCarryIgniters, ...mayHitIgniters]);

/** Restraint connectors whose history is certain. */
const restraintsOf = historiesWhere(({ connector, unsure }) => !unsure && hasIgniter(connector));

/** What wakes the airbags when it is struck or plugged while it is awake. */
const crashSensorsOf = historiesWhere(({ connector, unsure }) => !unsure && firesAirbags(connector));
const plugs: ReadonlySet<string> = new Set(['disconnect', 'reconnect']);

export const restraintLive: FindingRule = {
  id: 'restraint-live',
  title: say`Work on a restraint connector with the 12 V supply live`,
  severity: 'error',
  page: () => ({
    means: say`A restraint connector or pyrotechnic disconnect is opened, covered, uncovered, inspected, cleaned, closed, locked or tugged, or a part is removed or refitted by a step that names it, or trim or a part that may carry an airbag is removed or refitted in its zone, or metal is cut, drilled, ground or straightened there, or a task of the shop's own is done there that raises knocks, sparks or metal debris and does not say what it needs or, by their names, a crash sensor or the airbag control unit is opened, closed, or in the zone of such a blow (all four a warning; so is such work in the cabin or at the roof where the plan names no airbag at all), and it is not certain that the 12 V battery is disconnected, that no charger or jump pack is on the 12 V supply (\`support-12v-off\` takes it off), that the vehicle is not powered, and that the vehicle maker's waiting time has passed since then.`,
    why: say`An airbag or a seat-belt pretensioner can fire into the hands that hold its connector. A blow at a crash sensor fires it too. The control unit holds a charge for some time after the 12 V battery is off, and a charger, a jump pack or the converter of a powered vehicle supplies 12 V without the battery.`,
    whatToDo: say`Shut the vehicle down, take every charger and jump pack off, disconnect the 12 V battery and wait the vehicle maker's time; other work does not count as that wait. Reconnect the 12 V battery after the last restraint connector is closed, with nobody inside.`,
    source: commonPractice,
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
  - { id: op15, do: wait, time: 10 min }
  - { id: op20, do: disconnect, connectors: [curtain-airbag] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  needsEveryStep: true,
  *check(subject) {
    const { plan, sequence, isActive: counts } = subject;
    yield* airbagsNowhere(subject);
    const isAccepted = ({ operation }: RestraintStep): boolean =>
      !counts('restraint-live', { operation: operation.id });
    for (const { reason, culprit, first, others } of toldApart(restraintWork(plan), isAccepted)) {
      const { operation, ids } = first;
      const more = others.map((other) => other.operation);
      yield {
        at: spanOfMention(operation, ids[0]!),
        operation: operation.id,
        ...([first, ...others].every((step) => !step.named) ? { severity: 'warning' as const } : {}),
        ...ofConnectors(ids),
        message: messages[reason](doing(first), culprit),
        trace: [...(culprit ? [traceAt(culprit, traces[reason](culprit))] : []), ...alsoAt(more)],
        ...andAt(more),
        fixes: () => fixes(plan, sequence, operation, reason, culprit),
      };
    }
  },
};

/** A plan that names no airbag and no pretensioner, and work where a common body has them. */
function* airbagsNowhere(subject: CheckContext): Generator<FindingReport> {
  const { plan, sequence } = subject;
  if ([...plan.scope.connectors.values()].some(hasIgniter)) return;
  const steps = [...withOwn(plan, besideIgniters, 'igniters', 'knock', ...ofToolsInMetal)]
    .flatMap((task) => plan.operationsDoing(task))
    .filter(({ zones }) => zones.some((zone) => ignitersMaySit.has(zone)));
  const live = unmetGroups(plan, 'restraint-safe', steps).flatMap((group) => group.steps);
  if (live.length === 0) return;
  for (const { first, others } of told(subject, 'restraint-live', [{ culprit: undefined, steps: live }])) {
    const found = vehicleVerdict(plan, 'charger-off', first);
    const charger = found.met ? undefined : found.culprit;
    yield {
      at: first.span,
      operation: first.id,
      severity: 'warning',
      message: say`${named(first)} works where vehicles have airbags and seat-belt pretensioners, the plan names none, and nothing makes them safe first: an airbag can fire. Write them under \`connectors\` with \`class: restraint\`, or disconnect the 12 V battery and wait before ${first.id}, as the vehicle maker specifies.`,
      ...andAt(others),
      trace: [...(charger ? [traceAt(charger, traces.charger(charger))] : []), ...alsoAt(others)],
      fixes: () => fixes(plan, sequence, first, missingLink(plan, first)![1], undefined),
    };
  }
}

type Reason = 'charger' | 'on' | 'powered' | 'no-wait';

interface RestraintWork {
  readonly reason: Reason;
  readonly culprit: Operation | undefined;
  readonly steps: readonly RestraintStep[];
}

interface RestraintStep {
  readonly operation: Operation;
  /** Those that it names, with hands on them; else those in its zone. */
  readonly ids: readonly string[];
  readonly named: boolean;
}

const doing = ({ operation, ids, named: isNamed }: RestraintStep): Phrase =>
  operation.taskId === 'disconnect'
    ? say`${named(operation)} opens ${andList(ids)}`
    : operation.taskId === 'reconnect'
      ? say`${named(operation)} closes ${andList(ids)}`
      : mayCarryIgniters.has(operation.taskId) && !isNamed
        ? say`${named(operation)} moves parts near ${andList(ids)}`
        : mayHitIgniters.has(operation.taskId)
          ? say`${named(operation)} strikes or cuts metal near ${andList(ids)}`
          : isNamed
            ? say`${named(operation)} puts hands on ${andList(ids)}`
            : say`${named(operation)} works near ${andList(ids)}`;

const messages: Readonly<Record<Reason, (doing: Phrase, culprit: Operation | undefined) => Phrase>> = {
  charger: (work, charger) =>
    say`${work}, and the charger or jump pack of ${named(charger!)} may still supply 12 V: an airbag can fire. Take the charger or jump pack off, disconnect the 12 V battery and wait, as the vehicle maker specifies.`,
  on: (work, back) =>
    back
      ? say`${work}, and the 12 V battery may have been reconnected by ${named(back)}: an airbag can fire. Disconnect the 12 V battery first, and wait as the vehicle maker specifies.`
      : say`${work} while the 12 V battery may still be connected: an airbag can fire. Disconnect the 12 V battery first, and wait as the vehicle maker specifies.`,
  powered: (work, since) =>
    since
      ? say`${work}, and the vehicle may still be powered since ${named(since)}: its converter supplies 12 V without the battery, and an airbag can fire. Shut the vehicle down, disconnect the 12 V battery and wait, as the vehicle maker specifies.`
      : say`${work}, and the vehicle came in powered: its converter supplies 12 V without the battery, and an airbag can fire. Shut the vehicle down, disconnect the 12 V battery and wait, as the vehicle maker specifies.`,
  'no-wait': (work) =>
    say`${work}, and no wait that must come first follows the disconnecting of the 12 V battery: the airbag control unit still holds a charge, and an airbag can fire. Wait the vehicle maker's time first.`,
};

const traces: Readonly<Record<Reason, (culprit: Operation) => Phrase>> = {
  charger: (on) => say`${named(on)}: a charger or jump pack may be on the 12 V supply from here`,
  on: (back) => say`${named(back)}: the 12 V battery may be connected from here`,
  powered: (since) => say`${named(since)}: the vehicle may be powered from here`,
  'no-wait': (ended) => say`${named(ended)}: an earlier wait counts for nothing after this`,
};

const restraintWork = ({ reading }: Plan): readonly RestraintWork[] => restraintWorkIn(reading);

const restraintWorkIn = query((reading: Snapshot): readonly RestraintWork[] => {
  const plan = new SnapshotPlan(reading);
  const sequence = sequenceOf(plan);
  const { order } = sequence;
  // A step without a zone is told by itself.
  const workingIn =
    (zone: string) =>
    (task: string): readonly Operation[] =>
      sequence.workingIn(zone, task).filter(({ zones }) => zones.length > 0);
  const beside = withOwn(plan, besideIgniters, 'igniters', 'knock', ...ofToolsInMetal);
  const handled = new Map<Operation, string[]>();
  const near = new Map<Operation, string[]>();
  for (const { connector, operations } of restraintsOf(plan)) {
    for (const operation of operations) {
      // A part that is taken off with its airbag has the airbag in the hand.
      if (needsRestraintSafe.has(operation.taskId) || mayCarryIgniters.has(operation.taskId))
        addToGroup(handled, operation, connector.id);
    }
    if (connector.zone === undefined) continue;
    // A task of the shop's own that handles the connector is told by itself.
    for (const operation of [...beside].flatMap(workingIn(connector.zone)))
      if (besideIgniters.has(operation.taskId) || !operations.includes(operation))
        addToGroup(near, operation, connector.id);
  }
  const striking = withOwn(plan, mayHitIgniters, 'igniters', 'knock', ...ofToolsInMetal);
  for (const { connector, operations } of crashSensorsOf(plan)) {
    const struck =
      connector.zone === undefined ? emptyList : [...striking].flatMap(workingIn(connector.zone));
    for (const operation of new Set([...struck, ...operations.filter(({ taskId }) => plugs.has(taskId))]))
      addToGroup(near, operation, connector.id);
  }
  const groups: {
    reason: Reason;
    culprit: Operation | undefined;
    steps: RestraintStep[];
  }[] = [];
  const steps = [...new Set([...handled.keys(), ...near.keys()])].sort((a, b) => order.compare(a, b));
  for (const operation of steps) {
    const held = handled.get(operation);
    const step = { operation, ids: held ?? near.get(operation)!, named: held !== undefined };
    const lacking = missingLink(plan, operation);
    if (!lacking) continue;
    const [fact, reason] = lacking;
    const found = vehicleVerdict(plan, fact, operation);
    const culprit = found.met ? undefined : found.culprit;
    const known = groups.find((group) => group.reason === reason && group.culprit === culprit);
    if (known) known.steps.push(step);
    else groups.push({ reason, culprit, steps: [step] });
  }
  return groups;
});

/** The conditions for work on airbags; the first that fails is reported. */
const links = [
  ['charger-off', 'charger'],
  ['12v-off', 'on'],
  ['not-powered', 'powered'],
  ['restraint-safe', 'no-wait'],
] as const;
const missingLink = (plan: Plan, operation: Operation): (typeof links)[number] | undefined =>
  links.find(([fact]) => !isVehicleFactMet(plan, fact, operation));

function fixes(
  plan: Plan,
  { order }: Sequence,
  operation: Operation,
  reason: Reason,
  culprit: Operation | undefined,
): readonly FixWays[] {
  const target = operation.planStep;
  // One wait may serve both, where high voltage is isolated as well.
  const wait = plan.operationsDoing('isolate').length > 0 ? longerWait(plan) : plan.vehicle?.restraintWait;
  const waiting: NewStep = { task: 'wait', fields: wait ? [['time', wait.text]] : [], by: 'nobody' };
  const ready = vehicleTimeline(plan, 'restraint-safe').makers.find(
    (one) => one.planStep !== target && !order.before(operation, one),
  );
  const later = ready && onlyAfter(plan, operation, ready);
  if (reason === 'no-wait') {
    const offs = plan.operationsDoing('battery-12v-off').filter((one) => order.before(one, operation));
    const proofs = plan
      .operationsDoing('prove-dead')
      .filter((one) => one.step === one.planStep && order.before(one, operation))
      .filter((one) => offs.every((off) => order.before(off, one)));
    const last = offs.at(-1);
    return [
      [
        later,
        ...proofs.map(({ planStep }) =>
          fix(say`Wait before ${planStep.id}`, insertBefore(plan, planStep, [waiting])),
        ),
        last &&
          fix(say`Wait after ${last.planStep.id}`, insertAfter(plan, last.planStep, [waiting], [target])),
        fix(say`Wait before ${target.id}`, insertBefore(plan, target, [waiting])),
      ],
    ];
  }
  if (reason === 'powered') return [later];
  const off: NewStep = { task: 'battery-12v-off', fields: [], by: 'nobody' };
  // The battery alone does not end the supply.
  if (reason === 'charger') {
    const charger: NewStep = { task: 'support-12v-off', fields: [], by: 'nobody' };
    const isOff = isVehicleFactMet(plan, '12v-off', operation);
    return [
      [
        later,
        fix(
          isOff
            ? say`Take the charger or jump pack off before ${target.id}`
            : say`Take the charger or jump pack off and disconnect the 12 V battery before ${target.id}`,
          insertBefore(plan, target, [charger, ...(isOff ? [] : [off]), waiting]),
        ),
      ],
    ];
  }
  return [
    [
      later,
      ...(culprit ? [] : offWithTheOthers(plan, operation)),
      ...followWays(plan, target, ['battery-12v-off', 'wait']),
      fix(say`Disconnect the 12 V battery before ${target.id}`, insertBefore(plan, target, [off, waiting])),
    ],
  ];
}
