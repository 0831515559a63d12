import { setKey } from '../../../document/edits.ts';
import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { proofsReliedOn } from '../../support/live-work.ts';
import { fix } from '../../support/mending.ts';
import { tellLiveWork } from '../../support/tell-live-work.ts';
import { traceAt, named } from '../../support/words.ts';

const proofWords: Readonly<Record<string, Phrase>> = {
  before: say`proves the meter only before the reading`,
  after: say`proves the meter only after the reading`,
  'not-proven': say`uses a meter that is not proven on a known voltage source`,
};

export const liveOpening: FindingRule = {
  id: 'live-opening',
  title: say`High voltage opened without proof that it is dead`,
  severity: 'error',
  page: () => ({
    means: say`A high-voltage power or interlock connector is opened, and the plan does not make sure that the system is isolated, locked out, left to discharge and proven dead before that, in this order and without a power-up in between; or the meter is not proven on a known voltage source before and after.`,
    why: say`An opened contact that still carries the traction voltage, or the charge of the capacitors, kills. A meter that fails shows a live circuit as dead.`,
    whatToDo: say`Put isolation, lock-out, the vehicle maker's waiting time and proving dead before the first opening, in that order; prove the meter on a known voltage source before and after.`,
    source: say`EN 50110-1 (disconnect, secure, verify dead); NFPA 70E-2024, 120.6, and HSE GS38 (the tester is proven before and after).`,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
`,
      right: `operations:
  - { id: op10, do: isolate }
  - { id: op12, do: lock-out }
  - { id: op14, do: wait, time: 5 min }
  - { id: op16, do: prove-dead, meter-proven: before-and-after }
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check(subject) {
    const { plan, sequence } = subject;
    yield* tellLiveWork(subject, 'live-opening');
    for (const [proof, opening] of proofsReliedOn(plan, sequence)) {
      const stated = proof.step.node.get('meter-proven')?.value;
      const wrong = stated === undefined ? undefined : proofWords[stated];
      yield {
        at: proof.span,
        operation: proof.id,
        severity: wrong ? 'error' : 'warning',
        message: say`${named(proof)} ${wrong ?? say`does not say that the meter is proven`}; a faulty meter can show a live circuit as dead. Prove the meter on a known voltage source before and after, and write \`meter-proven: before-and-after\`.`,
        trace: opening ? [traceAt(opening, say`${named(opening)} relies on this proof`)] : [],
        fixes: () =>
          proof.step === proof.planStep
            ? [
                fix(say`Have the meter of ${proof.id} proven before and after`, [
                  setKey(plan.document, proof.step.node, 'meter-proven', 'before-and-after'),
                ]),
              ]
            : [],
      };
    }
  },
};
