import { traceAt, named } from '../../support/words.ts';
import { isVehicleFactMet } from '../../../sequence/facts/timeline.ts';
import { fix, insertBefore } from '../../support/mending.ts';
import { missingIsolationSteps } from '../../support/high-voltage.ts';
import { highVoltageSteps } from '../../support/live-work.ts';
import { alsoAt, andAt, told, unmetGroups } from '../../support/needs.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const proofStale: FindingRule = {
  id: 'proof-stale',
  title: say`High-voltage work on a proof that has aged`,
  severity: 'warning',
  page: () => ({
    means: say`Between proving dead and work on high voltage the shift ends (or a wait of eight hours or more, or a task of the shop's own with such a name, stands for a night), the vehicle is rolled or towed, or the 12 V supply comes back on, and nothing proves the system dead again.`,
    why: say`Drive wheels that turn generate voltage, and a control unit that wakes up may close the contactors. Overnight nobody watches the lock.`,
    whatToDo: say`Check the lock, wait and prove dead again before the first step on high voltage, as the vehicle maker specifies.`,
    source: say`HSE, Electric and hybrid vehicles (moving drive wheels generate voltage). That a proof is renewed after a night or after 12 V returns: ${commonPractice}.`,
    example: {
      wrong: `operations:
  - { id: op10, do: isolate }
  - { id: op12, do: lock-out }
  - { id: op14, do: wait, time: 5 min }
  - { id: op16, do: prove-dead, meter-proven: before-and-after }
  - { id: op18, do: roll, zone: underbody }
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
`,
      right: `operations:
  - { id: op10, do: isolate }
  - { id: op12, do: lock-out }
  - { id: op14, do: wait, time: 5 min }
  - { id: op16, do: prove-dead, meter-proven: before-and-after }
  - { id: op18, do: roll, zone: underbody }
  - { id: op18-wait, do: wait, time: 5 min }
  - { id: op19, do: prove-dead, meter-proven: before-and-after }
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check(subject) {
    const { plan } = subject;
    const steps = highVoltageSteps(plan).map(({ operation }) => operation);
    // Work without any proof has its own finding.
    const proven = steps.filter((step) => isVehicleFactMet(plan, 'high-voltage-dead', step));
    for (const { culprit, first, others } of told(
      subject,
      'proof-stale',
      unmetGroups(plan, 'proof-fresh', proven),
    )) {
      if (!culprit) continue;
      yield {
        at: first.span,
        operation: first.id,
        message: say`${named(first)} relies on a proof from before ${named(culprit)}, and the high-voltage system may be live again since then. Check the lock, wait and prove the system dead again before ${first.id}, as the vehicle maker specifies.`,
        ...andAt(others),
        trace: [
          traceAt(culprit, say`${named(culprit)}: the proof counts for less from here`),
          ...alsoAt(others),
        ],
        fixes: () => [
          fix(
            say`Wait and prove dead again before ${first.planStep.id}`,
            insertBefore(plan, first.planStep, missingIsolationSteps(plan, ['wait'])),
          ),
        ],
      };
    }
  },
};
