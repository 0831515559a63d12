import { addToGroup } from '../../../base/collections.ts';
import { mayHaveHighVoltage } from '../../../plan/high-voltage.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Plan } from '../../../plan/plan.ts';
import { cutsLines, needs48VOff } from '../../../plan/tables/needs.ts';
import { isCapacitorByName } from '../../../plan/tables/own-names.ts';
import { isVehicleFactMet } from '../../../sequence/facts/timeline.ts';
import { historiesWhere } from '../../../sequence/lives.ts';
import type { Sequence } from '../../../sequence/lives.ts';
import { traceAt, named } from '../../support/words.ts';
import { fix, insertBefore } from '../../support/mending.ts';
import { alsoAt, andAt, someOf, told, unmetGroups } from '../../support/needs.ts';
import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import type { CheckContext, FindingReport, FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const fortyEightVoltLive: FindingRule = {
  id: '48-volt-live',
  title: say`Work on a 48 V connector without isolating the 48 V system`,
  severity: 'warning',
  page: () => ({
    means: say`A connector of the 48 V system is opened, covered, uncovered, cleaned, measured or closed, or named by a step that takes off or refits a part, and the 48 V system is not certain to be isolated (on a vehicle with high voltage by a step of its own, \`isolate-48v\`); or metal is cut, drilled or ground in the zone of such a connector, and the 48 V system is not certain to be isolated; or the vehicle has no high voltage and states a wait (\`discharge-wait\`), or the connector is a capacitor by its name, and no wait is certain to come after the isolation.`,
    why: say`48 V draws an arc that burns skin, eyes and contacts; tape, cleaner or a probe can bridge two contacts.`,
    whatToDo: say`Isolate the 48 V system first, and wait, as the vehicle maker specifies.`,
    source: commonPractice,
    example: {
      wrong: `connectors:
  - { id: belt-starter, class: 48-volt, zone: motor-bay }
operations:
  - { id: op20, do: disconnect, connectors: [belt-starter] }
`,
      right: `connectors:
  - { id: belt-starter, class: 48-volt, zone: motor-bay }
operations:
  - { id: op10, do: isolate-48v }
  - { id: op20, do: disconnect, connectors: [belt-starter] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check(subject) {
    const { plan, sequence } = subject;
    const steps = new Set(handling48(connectors48(plan)));
    yield* notIsolated(
      subject,
      steps,
      (first) =>
        say`${named(first)} handles a 48 V connector, and the 48 V system is not certain to be isolated: an arc burns skin and contacts. Isolate the 48 V system before ${first.id}, as the vehicle maker specifies.`,
    );
    for (const { ids, cutting } of cuttingAt(plan, sequence)) {
      yield* notIsolated(
        subject,
        cutting,
        (first) =>
          say`${named(first)} works where the cables of ${someOf(ids)} may run, and the 48 V system is not certain to be isolated: a tool in a live cable draws an arc that burns. Isolate the 48 V system before ${first.id}, as the vehicle maker specifies.`,
      );
    }
    // Of a vehicle with high voltage the wait is that of the high-voltage system.
    const wait = mayHaveHighVoltage(plan) ? undefined : plan.vehicle?.dischargeWait;
    const charged = wait
      ? steps
      : new Set(handling48(connectors48(plan).filter(({ connector }) => isCapacitorByName(connector))));
    const isolated = [...charged].filter((step) => isVehicleFactMet(plan, '48v-off', step));
    for (const { first, others } of told(
      subject,
      '48-volt-live',
      unmetGroups(plan, '48v-discharged', isolated),
    )) {
      yield {
        at: first.span,
        operation: first.id,
        message: wait
          ? say`${named(first)} handles a 48 V connector, and no wait that must come first follows the isolation: capacitors still hold their charge, and an arc burns. Wait the vehicle maker's ${wait.text} before ${first.id}.`
          : say`${named(first)} handles a capacitor of the 48 V system, and no wait that must come first follows the isolation: it still holds its charge, and an arc burns. Wait as long as the vehicle maker specifies before ${first.id}.`,
        ...andAt(others),
        trace: alsoAt(others),
        // How long is the vehicle maker's to say.
        fixes: () => [
          wait &&
            fix(
              say`Wait before ${first.planStep.id}`,
              insertBefore(plan, first.planStep, [
                { task: 'wait', fields: [['time', wait.text]], by: 'nobody' },
              ]),
            ),
        ],
      };
    }
  },
};

/** Those of `steps` before which the 48 V system is not certain to be isolated. */
function* notIsolated(
  subject: CheckContext,
  steps: Iterable<Operation>,
  message: (first: Operation) => Phrase,
): Generator<FindingReport> {
  const { plan } = subject;
  for (const { culprit, first, others } of told(
    subject,
    '48-volt-live',
    unmetGroups(plan, '48v-off', [...steps]),
  )) {
    yield {
      at: first.span,
      operation: first.id,
      message: message(first),
      ...andAt(others),
      trace: [
        ...(culprit
          ? [traceAt(culprit, say`${named(culprit)}: the system may be live again from here`)]
          : []),
        ...alsoAt(others),
      ],
      fixes: () => [
        fix(
          say`Isolate the 48 V system before ${first.planStep.id}`,
          insertBefore(plan, first.planStep, [{ task: 'isolate-48v', fields: [], by: 'nobody' }]),
        ),
      ],
    };
  }
}

/** Steps with a blade, a drill or a disc in the zone of 48 V connectors, by these. Welding is told by `weld-connected`. */
function cuttingAt(
  plan: Plan,
  sequence: Sequence,
): Iterable<{ readonly ids: readonly string[]; readonly cutting: Operation[] }> {
  const near = new Map<Operation, string[]>();
  for (const { connector } of connectors48(plan)) {
    // Without a zone, connector or step may be anywhere: that is told by itself.
    if (connector.zone === undefined) continue;
    for (const task of [...cutsLines, 'grind'])
      for (const step of sequence.workingIn(connector.zone, task))
        if (step.zones.length > 0) addToGroup(near, step, connector.id);
  }
  const groups = new Map<string, { readonly ids: readonly string[]; readonly cutting: Operation[] }>();
  for (const [step, ids] of near) {
    const key = ids.join(' ');
    const known = groups.get(key);
    if (known) known.cutting.push(step);
    else groups.set(key, { ids, cutting: [step] });
  }
  return groups.values();
}

const handling48 = (lives: ReturnType<typeof connectors48>): Operation[] =>
  lives.flatMap(({ operations }) => operations.filter(({ taskId }) => needs48VOff.has(taskId)));

const connectors48 = historiesWhere(({ connector, unsure }) => !unsure && connector.class === '48-volt');
