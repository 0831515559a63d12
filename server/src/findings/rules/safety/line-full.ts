import { gases, isFuel, isUnderPressure } from '../../../plan/tables/fluids.ts';
import { ConnectorFacts } from '../../../sequence/facts/timeline.ts';
import { operationsOn } from '../../../sequence/facts/use.ts';
import { traceAt, spanOfMention, named } from '../../support/words.ts';
import { fix, insertBefore, onlyAfter } from '../../support/mending.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import type { Phrase } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Connector } from '../../../plan/scope.ts';
import { isFuelUnplaced, waitForEmptying } from '../../support/fuel.ts';

export const lineFull: FindingRule = {
  id: 'line-full',
  title: say`A fluid line opened on a full circuit`,
  severity: 'error',
  page: () => ({
    means: say`A line of coolant or refrigerant is opened, and neither is its circuit certain to be emptied, nor does anybody state how the line is shut off; or a fuel line is opened, and neither is its pressure certain to be relieved (a clamp leaves it in) nor the fuel system emptied; or a line of brakes, steering or suspension under stored pressure (\`medium: hydraulic\` or \`compressed-air\`) is opened, and its pressure is not certain to be relieved. For a line whose medium nobody states it is a warning, and for one of \`medium: other\` on a vehicle that carries fuel, where the plan does not say which line holds the fuel. So is a fuel line whose pressure alone is relieved, in a plan that fills fuel again. A part that is taken off and names such a line, which is not certain to be disconnected before, is a warning as well.`,
    why: say`Refrigerant under pressure freezes skin and eyes and must not escape; coolant on a high-voltage connector is a short circuit in waiting. Fuel sprays out of an opened line, and hydrogen burns with a flame that nobody sees. An accumulator of the brakes holds its pressure while the vehicle stands.`,
    whatToDo: say`Recover the refrigerant or drain the coolant first, or state \`shut-off: clamped\` or \`self-sealing\`. Relieve the pressure of a fuel line, or of a line under stored pressure (\`relieve-pressure\`), or empty the fuel system (\`defuel\`), as the vehicle maker specifies. State the \`medium\` of the line.`,
    source: say`common practice; for hydrogen: Hydrogen Safety Panel, h2tools.org (the pressurised system is defuelled before any maintenance)`,
    example: {
      wrong: `connectors:
  - { id: condenser-hose, class: fluid-line, zone: motor-bay, medium: refrigerant }
operations:
  - { id: op20, do: disconnect, connectors: [condenser-hose] }
`,
      right: `connectors:
  - { id: condenser-hose, class: fluid-line, zone: motor-bay, medium: refrigerant }
operations:
  - { id: op10, do: recover-refrigerant }
  - { id: op20, do: disconnect, connectors: [condenser-hose] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
  *check({ plan, sequence, lives }) {
    for (const life of lives) {
      const { connector, events, unsure } = life;
      const { medium } = connector;
      if (unsure || connector.class !== 'fluid-line') continue;
      if (medium === 'other' && !isFuelUnplaced(plan)) continue;
      const isPressurised = isUnderPressure(medium);
      if (connector.shutOff !== undefined && isShutOffEnough(connector)) continue;
      const isRelieved = isFuel(medium) || isPressurised;
      const facts = new ConnectorFacts(plan, sequence, life);
      const emptied = isRelieved ? 'depressurised' : 'line-empty';
      const takenOff = life.operations.find(
        (step) => step.taskId === 'remove' && !facts.isMet('open', step) && !facts.isMet(emptied, step),
      );
      if (takenOff) {
        yield {
          at: spanOfMention(takenOff, connector.id),
          operation: takenOff.id,
          connector: connector.id,
          severity: 'warning',
          message: say`${named(takenOff)} names ${connector.id}, which may be full or under pressure: fuel burns, refrigerant freezes skin and eyes, coolant runs onto live parts. Write before ${takenOff.id} how ${connector.id} is emptied or relieved of pressure, as the vehicle maker specifies, and its \`disconnect\`, or take ${connector.id} out of ${takenOff.id} if it stays closed.`,
        };
      }
      for (const { act, operation } of events) {
        if (act !== 'disconnect') continue;
        const found = facts.verdict(emptied, operation);
        if (found.met) {
          const filling = filledUnemptied(facts, operation);
          if (filling) {
            yield {
              at: spanOfMention(operation, connector.id),
              operation: operation.id,
              connector: connector.id,
              severity: 'warning',
              message: say`${named(operation)} opens ${connector.id}, and ${named(filling)} fills what no step has taken out: a line or a tank that comes off full spills fuel. Write the \`defuel\` before ${operation.id}, or take ${filling.id} out where the tank stays full.`,
              trace: [traceAt(filling, say`${named(filling)}: the line is full again from here`)],
            };
            break;
          }
          continue;
        }
        const task = medium === 'refrigerant' ? 'recover-refrigerant' : 'drain-coolant';
        const ready = found.candidates.find((one) => !sequence.order.before(operation, one));
        yield {
          at: spanOfMention(operation, connector.id),
          operation: operation.id,
          connector: connector.id,
          severity: medium === undefined || medium === 'other' ? 'warning' : 'error',
          message: messageFor(operation, connector),
          trace: found.culprit
            ? [
                traceAt(
                  found.culprit,
                  isRelieved
                    ? say`${named(found.culprit)}: the line is under pressure again from here`
                    : say`${named(found.culprit)}: the line is full again from here`,
                ),
              ]
            : [],
          fixes: () => [
            [
              ready && onlyAfter(plan, operation, ready),
              isRelieved ? waitForEmptying(plan, operation, 'relieve-pressure') : undefined,
              // How pressure is let out is the vehicle maker's to say: no step is written for it.
              medium === undefined || medium === 'other' || isRelieved
                ? undefined
                : fix(
                    medium === 'refrigerant'
                      ? say`Recover the refrigerant before ${operation.planStep.id}`
                      : say`Drain the coolant before ${operation.planStep.id}`,
                    insertBefore(plan, operation.planStep, [{ task, fields: [], by: 'nobody' }]),
                  ),
            ],
          ],
        };
        break;
      }
    }
  },
};

/**
 * Whether a clamp or a coupling that seals itself does: not for refrigerant and gases, and not while nobody says what flows. A
 * clamp on a fuel line leaves the pressure in it.
 */
const isShutOffEnough = ({ medium, shutOff }: Connector): boolean =>
  medium !== undefined &&
  medium !== 'refrigerant' &&
  !gases.has(medium) &&
  !isUnderPressure(medium) &&
  !(shutOff === 'clamped' && isFuel(medium));

/** The filling after the opening of a fuel line, where nothing makes certain that the fuel was out. */
function filledUnemptied(facts: ConnectorFacts, opening: Operation): Operation | undefined {
  const { connector, sequence } = facts;
  if (!isFuel(connector.medium) || facts.isMet('line-empty', opening)) return undefined;
  return operationsOn(sequence, connector, 'refuel').find((filling) =>
    sequence.order.before(opening, filling),
  );
}

function messageFor(operation: Operation, connector: Connector): Phrase {
  const { id, medium } = connector;
  switch (medium) {
    case 'refrigerant':
      return say`${named(operation)} opens ${id}, and the refrigerant is not certain to be recovered: under pressure it freezes skin and eyes. Have a certified person recover the refrigerant before ${operation.id}.`;
    case 'coolant':
      return say`${named(operation)} opens ${id}, and the coolant is not certain to be drained: on a high-voltage connector it is a short circuit in waiting. Drain the coolant before ${operation.id}, as the vehicle maker specifies, or state \`shut-off\` of the line.`;
    case 'petrol':
    case 'diesel':
      return say`${named(operation)} opens ${id}, and neither is its pressure certain to be relieved nor the fuel system emptied: fuel sprays out and burns at the next spark. Do one of the two before ${operation.id}, as the vehicle maker specifies.`;
    case 'hydrogen':
    case 'natural-gas':
    case 'lpg':
      return say`${named(operation)} opens ${id}, and its gas is not certain to be shut off and let out: a fitting under pressure tears loose, and the gas burns at the next spark. Have a person trained for gas vehicles do that before ${operation.id}, as the vehicle maker specifies.`;
    case 'hydraulic':
    case 'compressed-air':
      return say`${named(operation)} opens ${id}, and its pressure is not certain to be relieved: an accumulator holds it while the vehicle stands, and the jet goes through skin and eyes. Have the pressure relieved before ${operation.id}, as the vehicle maker specifies.`;
    case 'other':
      return say`${named(operation)} opens ${id}, whose medium is \`other\`, on a vehicle that carries fuel, and the plan does not say where the fuel runs. Write the fuel as \`medium\` if ${id} holds it, else \`fuel-zone: …\` of the vehicle.`;
    case undefined:
      return say`${named(operation)} opens ${id}, and nobody states what the line carries or that it is empty. State its \`medium\`, and empty or shut off the line before ${operation.id}, as the vehicle maker specifies.`;
  }
}
