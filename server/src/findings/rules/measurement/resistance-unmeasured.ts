import { andList, say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { dutyCheck } from '../../support/unproven.ts';

export const resistanceUnmeasured: FindingRule = {
  id: 'resistance-unmeasured',
  title: say`Power connector closed, and its contact resistance not measured`,
  severity: 'error',
  page: () => ({
    means: say`A high-voltage power connector is closed again, and nothing measures its contact resistance before the vehicle is powered up, moved, road-tested or handed over.`,
    why: say`Heat is I²R: at 300 A each milliohm is 90 W inside a closed body cavity. Dirt, a bent contact or a half-closed lock shows in the resistance before it shows as smoke.`,
    whatToDo: say`Measure with four wires after closing and locking, and compare with the vehicle maker's limit.`,
    source: say`Joule's law (OpenStax College Physics). That every closed power connector is measured: ${commonPractice}.`,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
  - { id: op90, do: power-up }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
  - { id: op70, do: measure-resistance, connectors: [inverter-dc] }
  - { id: op90, do: power-up }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  check: dutyCheck({
    fact: 'resistance-proven',
    task: 'measure-resistance',
    proof: say`the contact resistance measurement`,
    place: 'after-work',
    severity: () => 'error',
    title: (connectors) => say`Measure the contact resistance of ${connectors}`,
    beforeLock: (ids, done, lock) =>
      say`${done} measures ${andList(ids)} before ${lock}, so the reading proves nothing about the locked contact. Measure the contact resistance after the lock is closed.`,
    message: (ids, closing, until) =>
      say`${closing} closes ${andList(ids)}, and nobody measures the contact resistance ${until}. Dirt or a bent contact turns into heat at drive current: measure with four wires.`,
  }),
};
