import { setKey } from '../../../document/edits.ts';
import { eitherOf, listed, say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Connector } from '../../../plan/scope.ts';
import type { Plan } from '../../../plan/plan.ts';
import type { Finding, Fix } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import {
  makingSafe,
  mayCarryHighVoltage,
  onHighVoltage,
  proofToWaitFor,
  safeStepsOwed,
  safetyUnsure,
} from '../../support/high-voltage.ts';
import type { SafeStep } from '../../support/high-voltage.ts';
import { fix, insertBefore, waitFor } from '../../support/mending.ts';
import { at, mention, named } from '../../support/words.ts';

const verbs: Readonly<Record<SafeStep, Phrase>> = {
  isolate: say`isolates the high-voltage system`,
  'lock-out': say`locks it against switching on`,
  wait: say`waits for the capacitors`,
  'prove-dead': say`proves it dead`,
};

const proofWords: Readonly<Record<string, Phrase>> = {
  before: say`proves the meter only before the reading`,
  after: say`proves the meter only after the reading`,
  'not-proven': say`uses a meter that is not proven on a known source`,
};

export const liveOpening: Finding = {
  id: 'live-opening',
  title: say`High voltage opened without proof that it is dead`,
  severity: 'error',
  means: say`A high-voltage power or interlock connector is opened, and isolating, locking against switching on, waiting for the capacitors and proving dead are not all certain to come before it, in that order and without powering up in between; or the meter of the proof is not proven on a known source before and after.`,
  why: say`An opened contact that still carries the traction voltage, or the charge of the capacitors, kills. A meter that fails shows a live circuit as dead.`,
  todo: say`Order isolating, locking, the maker's wait and proving dead before the first opening, as the vehicle maker's procedure states; prove the meter on a known source before and after.`,
  source: say`EN 50110-1 (disconnect, secure, verify dead); NFPA 70E-2024, 120.6, and HSE GS38 (the tester is proven before and after).`,
  kinds: plansOnly,
  ground: 'safety',
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
  *check({ plan, sequence }) {
    if (safetyUnsure(plan)) return;
    const openings = new Map<Operation, Connector[]>();
    for (const { connector, events } of onHighVoltage(plan)) {
      if (!mayCarryHighVoltage(plan, connector)) continue;
      for (const { act, operation } of events) {
        if (act === 'disconnect') openings.set(operation, [...(openings.get(operation) ?? []), connector]);
      }
    }
    const unprovenMeters = new Map<Operation, Operation>();
    for (const [opening, connectors] of openings) {
      const { missing, proofs, powered } = makingSafe(plan, sequence, opening);
      const stated = proofs.map(({ step }) => step.node.get('meter-proven')?.value);
      if (missing.length === 0) {
        if (!stated.includes('before-and-after')) unprovenMeters.set(proofs.at(-1)!, opening);
        continue;
      }
      const ids = connectors.map(({ id }) => id);
      const words = missing.map((step) => verbs[step]);
      const undone = eitherOf(words);
      const again = powered[0] ? say` after ${named(powered[0])}` : '';
      yield {
        at: mention(opening, ids[0]!),
        operation: opening.id,
        ...(ids.length === 1 ? { connector: ids[0]! } : {}),
        severity: connectors.some((connector) => connector.class === 'high-voltage-power')
          ? 'error'
          : 'warning',
        message: say`${named(opening)} opens ${listed(ids)}, and nothing that is certain to come first${again} ${undone}. A live contact kills: order it before ${opening.id}, as the vehicle maker states.`,
        trace: [
          ...powered.slice(0, 3).map((gate) => at(gate, say`${named(gate)} may put the voltage back here`)),
          ...proofs.slice(0, 1).map((proof) => at(proof, say`${named(proof)}: the proof that is there`)),
        ],
        fixes: () => [
          waitForProof(plan, opening, proofToWaitFor(plan, sequence, opening)),
          fix(
            say`Make the high-voltage system safe before ${opening.planStep.id}`,
            insertBefore(plan, opening.planStep, safeStepsOwed(plan, missing)),
          ),
        ],
      };
    }
    for (const [proof, opening] of unprovenMeters) {
      const stated = proof.step.node.get('meter-proven')?.value;
      const wrong = stated === undefined ? undefined : proofWords[stated];
      yield {
        at: proof.span,
        operation: proof.id,
        severity: wrong ? 'error' : 'warning',
        message: say`${named(proof)} ${wrong ?? say`does not say that the meter is proven`}; one that fails shows a live circuit as dead. Prove it on a known source before and after, and write \`meter-proven: before-and-after\`.`,
        trace: [at(opening, say`${named(opening)} relies on this proof`)],
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

/** Where the plan proves it dead anyway, the opening only has to wait for that. */
const waitForProof = (plan: Plan, opening: Operation, proof: Operation | undefined): Fix | undefined =>
  proof &&
  fix(say`Do ${opening.planStep.id} only after ${proof.planStep.id}`, [
    waitFor(plan, opening.planStep, [proof.planStep.id]),
  ]);
