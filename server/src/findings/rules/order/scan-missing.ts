import { andList, say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { severityByClass, dutyCheck } from '../../support/unproven.ts';

export const scanMissing: FindingRule = {
  id: 'scan-missing',
  title: say`Handed over without a scan for fault codes`,
  severity: 'error',
  page: () => ({
    means: say`A restraint, sensor or data connector is closed, and no scan for stored fault codes follows before the vehicle is handed over. A scan names the connector, its zone, or neither, and then covers the whole vehicle. Nothing is told where the vehicle's \`scan: { not-possible: …, source: … }\` says why none is possible.`,
    why: say`A control unit that has seen its airbag or sensor missing keeps a fault code, and an airbag with a stored fault code may not deploy.`,
    whatToDo: say`Add a \`scan\` step after the last closing and before the handover.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [park-sensor] }
  - { id: op60, do: reconnect, connectors: [park-sensor] }
  - { id: op90, do: power-up }
  - { id: op99, do: deliver }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [park-sensor] }
  - { id: op60, do: reconnect, connectors: [park-sensor] }
  - { id: op90, do: power-up }
  - { id: op95, do: scan }
  - { id: op99, do: deliver }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  // With a stated reason none is asked for; the prints say so.
  check: (subject) => (subject.plan.vehicle?.noScan ? [] : unscanned(subject)),
};

const unscanned = dutyCheck({
  fact: 'scanned',
  task: 'scan',
  place: 'before-use',
  wholeVehicle: true,
  severity: severityByClass,
  title: () => say`Scan for fault codes`,
  message: (ids, closing, until) =>
    say`${closing} closes ${andList(ids)}, and no scan for stored fault codes follows ${until}. Scan once the vehicle is powered up.`,
});
