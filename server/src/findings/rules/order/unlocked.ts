import { andList, say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { severityByClass, dutyCheck } from '../../support/unproven.ts';

export const unlocked: FindingRule = {
  id: 'unlocked',
  title: say`Closed but not locked`,
  severity: 'error',
  page: () => ({
    means: say`A connector with a lock or latch of its own (\`lock: true\`) is closed, and no step closes the lock before the vehicle is powered up, moved, road-tested or handed over.`,
    why: say`Without its lock a connector works loose on the road: on a power connector that means arcing, on a restraint connector an airbag that does not deploy.`,
    whatToDo: say`Add a \`lock\` step after the reconnection.`,
    source: commonPractice,
    example: {
      wrong: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, lock: true }
operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
  - { id: op90, do: power-up }
`,
      right: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, lock: true }
operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
  - { id: op65, do: lock, connectors: [inverter-dc] }
  - { id: op90, do: power-up }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  check: dutyCheck({
    fact: 'locked',
    task: 'lock',
    place: 'after-closing',
    severity: severityByClass,
    title: (connectors) => say`Close the lock of ${connectors}`,
    message: (ids, closing, until) =>
      say`${closing} closes ${andList(ids)}, and nothing closes the lock ${until}. Close the lock at once, or the connector works loose on the road.`,
  }),
};
