import { andList, say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { dutyCheck } from '../../support/unproven.ts';

export const leakUntested: FindingRule = {
  id: 'leak-untested',
  title: say`A fluid line is closed and not tested for leaks, or not bled`,
  severity: 'error',
  page: () => ({
    means: say`A fluid line is closed, and nobody tests it for leaks before the vehicle is powered up, moved, road-tested or handed over; or a line of \`medium: hydraulic\` (brakes, steering) is closed, and nobody bleeds it before the road test or the handing over.`,
    why: say`Coolant that leaks near the traction battery can bridge high voltage, and a vehicle that loses refrigerant or coolant loses the cooling of its battery. Leaking fuel burns, and brakes that leak, or have air in them, fail.`,
    whatToDo: say`Add a \`leak-test\` step after the reconnection, and for brakes and steering a \`bleed\` step before it.`,
    source: commonPractice,
    example: {
      wrong: `connectors:
  - { id: coolant-line, class: fluid-line, zone: motor-bay }
operations:
  - { id: op20, do: disconnect, connectors: [coolant-line] }
  - { id: op60, do: reconnect, connectors: [coolant-line] }
  - { id: op90, do: power-up }
`,
      right: `connectors:
  - { id: coolant-line, class: fluid-line, zone: motor-bay }
operations:
  - { id: op20, do: disconnect, connectors: [coolant-line] }
  - { id: op60, do: reconnect, connectors: [coolant-line] }
  - { id: op65, do: leak-test, connectors: [coolant-line] }
  - { id: op90, do: power-up }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  *check(subject) {
    yield* leaks(subject);
    yield* air(subject);
  },
};

const leaks = dutyCheck({
  fact: 'leak-tested',
  task: 'leak-test',
  proof: say`the leak test`,
  place: 'after-closing',
  severity: () => 'error',
  title: (connectors) => say`Test ${connectors} for leaks`,
  message: (ids, closing, until) =>
    say`${closing} closes ${andList(ids)}, and nobody tests for leaks ${until}. Test right after closing, as the vehicle maker specifies.`,
});

const air = dutyCheck({
  fact: 'bled',
  task: 'bleed',
  proof: say`the bleeding`,
  place: 'after-closing',
  severity: () => 'error',
  title: (connectors) => say`Bleed ${connectors}`,
  message: (ids, closing, until) =>
    say`${closing} closes ${andList(ids)}, and nobody bleeds the lines ${until}: with air in them the pedal falls to the floor and the brakes fail. Bleed them after the closing, as the vehicle maker specifies.`,
});
