import { rewrite } from '../../../document/edits.ts';
import { andList, say } from '../../../language/phrase.ts';
import { checkDigit, invalidCharacters, vinLength } from '../../../plan/tables/vin.ts';
import type { FindingRule, FindingReport } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { fix } from '../../support/mending.ts';

export const vinCheckDigit: FindingRule = {
  id: 'vin-check-digit',
  title: say`The VIN fails its check digit`,
  severity: 'error',
  page: () => ({
    means: say`The VIN does not have 17 characters, contains a character that no VIN has (a lower-case letter, I, O, Q), or its ninth character is not the check digit of the others. The check digit is required in North America only: it is an error where \`market\` says so, information where no market is stated, and not checked elsewhere.`,
    why: say`With one wrong character, the connector list, battery and procedure of another vehicle are looked up.`,
    whatToDo: say`Read the VIN again from its plate.`,
    source: say`ISO 3779; 49 CFR 565.13 and 565.15.`,
    example: {
      wrong: `vehicle: { description: Kestrel (invented), vin: 1M8GDM9AXKP042780, market: north-america, propulsion: hybrid }
operations: []
`,
      right: `vehicle: { description: Kestrel (invented), vin: 1M8GDM9AXKP042788, market: north-america, propulsion: hybrid }
operations: []
`,
    },
  }),
  kinds: plansOnly,
  ground: 'text',
  *check({ plan }) {
    const vehicle = plan.root?.get('vehicle');
    const node = vehicle?.get('vin');
    if (!node) return;
    const { value: vin, span: at } = node;
    const offer = (text: string, safe: boolean): Pick<FindingReport, 'fixes'> => ({
      fixes: () => [fix(say`Write ${text}`, [rewrite(node, text)], safe)],
    });
    if (vin.length !== vinLength) {
      yield {
        at,
        message: say`The VIN ${vin} has ${vin.length} characters; a VIN has ${vinLength}. Read it again from the vehicle.`,
      };
      return;
    }
    const wrong = invalidCharacters(vin);
    const capital = vin.toUpperCase();
    if (wrong.length > 0 && invalidCharacters(capital).length === 0) {
      yield {
        at,
        message: say`The VIN ${vin} has lower-case letters; a VIN is written in capitals.`,
        ...offer(capital, true),
      };
      return;
    }
    if (wrong.length > 0) {
      const meant = capital.replaceAll('O', '0').replaceAll('Q', '0').replaceAll('I', '1');
      const likely = invalidCharacters(meant).length === 0 && checkDigit(meant) === meant[8];
      yield {
        at,
        message: say`No VIN has the character ${andList(wrong)}; ${/[IOQ]/i.test(wrong.join('')) ? say`I, O and Q are left out because they look like 1 and 0` : say`it has capital letters and digits only`}. Read ${vin} again from the vehicle.`,
        ...(likely ? offer(meant, false) : {}),
      };
      return;
    }
    const market = vehicle?.get('market')?.value;
    const digit = checkDigit(vin);
    if (market === 'elsewhere' || vin[8] === digit) return;
    yield {
      at,
      severity: market === 'north-america' ? 'error' : 'information',
      message:
        market === 'north-america'
          ? say`The VIN ${vin} fails its check: the ninth character is ${vin[8]!}, but the others call for ${digit}. One of them is misread; read it again from the vehicle.`
          : say`The ninth character of the VIN ${vin} would be ${digit} on a vehicle first sold in North America. Read it again, or state \`market: elsewhere\`.`,
    };
  },
};
