import { andList, say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { dutyCheck } from '../../support/unproven.ts';

export const interlockUnproven: FindingRule = {
  id: 'interlock-unproven',
  title: say`Interlock closed, and its loop not proven`,
  severity: 'warning',
  page: () => ({
    means: say`An interlock connector is closed, and nothing proves that its loop is closed before the vehicle is powered up, moved, road-tested or handed over.`,
    why: say`The loop is what shuts the high voltage off when the lid of a high-voltage unit or a connector is opened. A loop that makes contact by chance strands the vehicle; one that is bridged no longer protects anyone.`,
    whatToDo: say`Prove the loop after closing, as the vehicle maker specifies.`,
    source: commonPractice,
    example: {
      wrong: `connectors:
  - { id: hv-interlock, class: interlock, zone: rear-floor }
operations:
  - { id: op20, do: disconnect, connectors: [hv-interlock] }
  - { id: op60, do: reconnect, connectors: [hv-interlock] }
  - { id: op90, do: power-up }
`,
      right: `connectors:
  - { id: hv-interlock, class: interlock, zone: rear-floor }
operations:
  - { id: op20, do: disconnect, connectors: [hv-interlock] }
  - { id: op60, do: reconnect, connectors: [hv-interlock] }
  - { id: op70, do: prove-interlock, connectors: [hv-interlock] }
  - { id: op90, do: power-up }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  check: dutyCheck({
    fact: 'interlock-proven',
    task: 'prove-interlock',
    place: 'after-work',
    severity: () => 'warning',
    title: (connectors) => say`Prove the loop of ${connectors}`,
    message: (ids, closing, until) =>
      say`${closing} closes ${andList(ids)}, and nobody proves the interlock loop ${until}. Prove the loop, so that opening a high-voltage unit still shuts the high voltage off.`,
  }),
};
