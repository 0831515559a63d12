import { CONTACT_VOLTAGES, platingWords } from '../../../heat/contact.ts';
import { quantityText, uncertainText } from '../../../heat/text.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { atResistance, connectorHeats } from '../../support/heated.ts';

export const softeningVoltage: FindingRule = {
  id: 'softening-voltage',
  title: say`Contact spots may soften at peak current`,
  severity: 'warning',
  page: () => ({
    means: say`At peak current, or at the highest of its duty cycle where no peak is stated, the drop over a connector reaches the softening voltage of its plating. Where the resistance of a new one is stated, the drop added since new has to reach it alone; where it is not, the whole drop counts, an upper bound.`,
    why: say`From the softening voltage on, the metal of the contact spots creeps. The contact looks the same afterwards, but it is not.`,
    whatToDo: say`The drop read from terminal to terminal is an upper bound: crimps and cable ends account for part of it. Clean or renew the contacts as the vehicle maker specifies, measure again, and ask the vehicle maker.`,
    source: say`Holm, Electric Contacts, 4th ed., table of softening voltages (copper 0.12 V, silver 0.09, gold 0.08, tin 0.07, nickel 0.22; taken from secondary texts; aluminium 0.10 from memory, not checked).`,
    example: {
      wrong: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, current: { peak: 520 A }, resistance: { as-new: 0.1 mΩ }, plating: silver }
operations: []
measurements:
  - { connector: inverter-dc, method: four-wire, value: 0.4 mΩ }
`,
      right: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, current: { peak: 520 A }, resistance: { as-new: 0.1 mΩ }, plating: silver }
operations: []
measurements:
  - { connector: inverter-dc, method: four-wire, value: 0.12 mΩ }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'proof',
  perConnector: true,
  *check(subject) {
    for (const connectorHeat of connectorHeats(subject)) {
      const { connector, estimate, row, place, basis } = connectorHeat;
      const { plating, current } = connector;
      const { softening: reach, dropAtPeak } = row;
      const highest = current.peak ?? current.dutyCycle;
      if (!plating || !highest || dropAtPeak === undefined || !reach || reach === 'below') continue;
      // If the as-new drop is known, compare only the increase since.
      if (reach === 'possible' && connector.resistance.asNew) continue;
      const { softening } = CONTACT_VOLTAGES[plating];
      const amps = current.peak
        ? current.peak.text
        : say`the ${quantityText(estimate.cycle!.highest, 'A')} of its duty cycle`;
      const drop = say`${uncertainText(dropAtPeak, row.uncertainties?.dropAtPeak, 'V')} at ${amps}`;
      const limit = say`the voltage at which ${platingWords[plating]} softens (${quantityText(softening, 'V')} at 20 °C, less in warm metal; Holm)`;
      yield {
        at: place,
        connector: connector.id,
        severity: reach === 'likely' ? 'warning' : 'information',
        message:
          reach === 'likely'
            ? say`${atResistance(connectorHeat)} drops ${drop}, and the increase since new alone reaches ${limit}. ${basis === 'measured' ? say`Clean or renew the contacts as the vehicle maker specifies, and measure again.` : say`Ask the vehicle maker whether limit and peak belong together.`}`
            : say`${atResistance(connectorHeat)} drops ${drop}, and in the warm contact that may reach ${limit}; crimps account for part of the drop. State \`as-new\` to tell, or measure at the contact itself.`,
        trace: [
          {
            at: highest.span,
            message: current.peak ? say`the peak current: ${current.peak.text}` : say`the duty cycle`,
          },
        ],
      };
    }
  },
};
