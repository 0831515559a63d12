import { andList, say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { dutyCheck } from '../../support/unproven.ts';

export const bondingUnproven: FindingRule = {
  id: 'bonding-unproven',
  title: say`An earth connection is closed and not measured`,
  severity: 'error',
  page: () => ({
    means: say`An earth connection is closed, and nobody measures its bonding before the road test or the handing over.`,
    why: say`Paint or rust under an earth (ground) can leave a metal part of the vehicle live, and control units that work only now and then.`,
    whatToDo: say`Add a \`measure-bonding\` step after the reconnection.`,
    source: commonPractice,
    example: {
      wrong: `connectors:
  - { id: rear-earth, class: earth, zone: luggage-space }
operations:
  - { id: op20, do: disconnect, connectors: [rear-earth] }
  - { id: op60, do: reconnect, connectors: [rear-earth] }
  - { id: op90, do: road-test }
`,
      right: `connectors:
  - { id: rear-earth, class: earth, zone: luggage-space }
operations:
  - { id: op20, do: disconnect, connectors: [rear-earth] }
  - { id: op60, do: reconnect, connectors: [rear-earth] }
  - { id: op65, do: measure-bonding, connectors: [rear-earth] }
  - { id: op90, do: road-test }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  check: dutyCheck({
    fact: 'bonding-proven',
    task: 'measure-bonding',
    proof: say`the bonding measurement`,
    place: 'after-closing',
    severity: () => 'error',
    title: (connectors) => say`Measure the bonding of ${connectors}`,
    message: (ids, closing, until) =>
      say`${closing} closes ${andList(ids)}, and nobody measures the bonding ${until}. Measure the bonding right after closing: a poor earth (ground) can leave the vehicle body live, or cause a fault that comes and goes.`,
  }),
};
