import type { Connector as RawConnector } from '../../generated/repair-plan.ts';
import { say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';

export type ConnectorClass = NonNullable<RawConnector['class']>;

/**
 * What must be done and proven for each connector class. Common practice, no source; the vehicle maker's
 * procedure goes first.
 */
export interface ClassRule {
  readonly words: Phrase;
  /** Tasks required between the last opening of a half and its reconnection. */
  readonly beforeClosing: readonly string[];
  /** Tasks between reconnecting and the next gate. */
  readonly afterClosing: readonly string[];
  /** Contacts that share its body where the connector does not state them; 1 where absent. */
  readonly poles?: number;
  /** A fault here can hurt a person or strand the car. */
  readonly grave: boolean;
}

export const classRules: Readonly<Record<ConnectorClass, ClassRule>> = {
  'high-voltage-power': {
    words: say`high-voltage power connector`,
    beforeClosing: ['inspect'],
    afterClosing: ['lock', 'measure-resistance', 'measure-insulation'],
    poles: 2,
    grave: true,
  },
  interlock: {
    words: say`interlock connector`,
    beforeClosing: ['inspect'],
    afterClosing: ['prove-interlock'],
    grave: true,
  },
  restraint: {
    words: say`restraint connector`,
    beforeClosing: ['inspect'],
    afterClosing: ['lock', 'scan'],
    grave: true,
  },
  pyrotechnic: {
    words: say`pyrotechnic disconnect`,
    beforeClosing: ['inspect'],
    afterClosing: ['lock', 'scan'],
    grave: true,
  },
  '48-volt': {
    words: say`48 V connector`,
    beforeClosing: ['inspect'],
    afterClosing: ['lock', 'check-seated'],
    grave: false,
  },
  sensor: {
    words: say`sensor connector`,
    beforeClosing: ['inspect'],
    afterClosing: ['check-seated', 'scan'],
    grave: false,
  },
  data: {
    words: say`data connector`,
    beforeClosing: ['inspect'],
    afterClosing: ['check-seated', 'scan'],
    grave: false,
  },
  'low-voltage': {
    words: say`low-voltage connector`,
    beforeClosing: ['inspect'],
    afterClosing: ['check-seated'],
    grave: false,
  },
  earth: {
    words: say`earth connection`,
    beforeClosing: ['clean'],
    afterClosing: ['measure-bonding'],
    grave: true,
  },
  'fluid-line': {
    words: say`fluid line`,
    beforeClosing: ['inspect'],
    afterClosing: ['leak-test'],
    grave: false,
  },
};

/** Classes with an igniter behind the contacts: airbags, pretensioners and pyrotechnic disconnects. */
const igniters: ReadonlySet<ConnectorClass | undefined> = new Set(['restraint', 'pyrotechnic'] as const);

/** Whether a current at a connector can fire something. */
export const hasIgniter = (connector: { readonly class: ConnectorClass | undefined }): boolean =>
  igniters.has(connector.class);
