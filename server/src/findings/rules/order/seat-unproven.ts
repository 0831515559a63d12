import { andList, say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { dutyCheck } from '../../support/unproven.ts';

export const seatUnproven: FindingRule = {
  id: 'seat-unproven',
  title: say`Closed, but full seating is not checked`,
  severity: 'warning',
  page: () => ({
    means: say`A low-voltage, sensor or data connector is closed, and nobody checks that it is fully seated before the vehicle is powered up, moved, road-tested or handed over.`,
    why: say`A connector that is not quite seated makes contact in the shop and loses it on the first rough road.`,
    whatToDo: say`Add a \`check-seated\` step after the reconnection: push, listen for the click, tug.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [park-sensor] }
  - { id: op60, do: reconnect, connectors: [park-sensor] }
  - { id: op90, do: power-up }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [park-sensor] }
  - { id: op60, do: reconnect, connectors: [park-sensor] }
  - { id: op65, do: check-seated, connectors: [park-sensor] }
  - { id: op90, do: power-up }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  check: dutyCheck({
    fact: 'seat-checked',
    task: 'check-seated',
    place: 'after-closing',
    severity: () => 'warning',
    title: (connectors) => say`Check the full seating of ${connectors}`,
    message: (ids, closing, until) =>
      say`${closing} closes ${andList(ids)}, and full seating is not checked ${until}. Push and tug each one after closing.`,
  }),
};
