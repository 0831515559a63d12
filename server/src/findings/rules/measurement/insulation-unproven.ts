import { andList, say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { dutyCheck } from '../../support/unproven.ts';

export const insulationUnproven: FindingRule = {
  id: 'insulation-unproven',
  title: say`High voltage closed, and its insulation not measured`,
  severity: 'error',
  means: say`A high-voltage power connector is closed, and nothing measures the insulation resistance of the system before the vehicle is powered up, moved, road-tested or handed over.`,
  why: say`A pinched cable, water or metal debris in the connector can put the traction voltage on the vehicle body. Either a measurement finds it, or the first person who touches two parts of the vehicle.`,
  whatToDo: say`Measure the insulation after closing and locking, before power-up, as the vehicle maker specifies.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'safety',
  example: {
    wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
  - { id: op90, do: power-up }
`,
    right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
  - { id: op70, do: measure-insulation, connectors: [inverter-dc] }
  - { id: op90, do: power-up }
`,
  },
  check: dutyCheck({
    fact: 'insulation-proven',
    task: 'measure-insulation',
    proof: say`the insulation measurement`,
    place: 'after-work',
    severity: () => 'error',
    title: (connectors) => say`Measure the insulation of ${connectors}`,
    message: (ids, closing, until) =>
      say`${closing} closes ${andList(ids)}, and nobody measures the insulation ${until}. A pinched cable can put the traction voltage on the vehicle body: measure before power-up.`,
  }),
};
