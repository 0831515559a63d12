import { andList, say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { dutyCheck } from '../../support/unproven.ts';

export const calibrationMissing: FindingRule = {
  id: 'calibration-missing',
  title: say`Handed over without the calibration the vehicle maker requires`,
  severity: 'error',
  means: say`A connector is closed for which the vehicle maker requires a calibration after every opening (\`calibrate: true\`), and no calibration follows before the vehicle is handed over; or it was calibrated, and later metal is pulled, a panel fitted or bonded at its place, the wheels are aligned, or control units are programmed.`,
  why: say`A camera or radar that is one degree off brakes or steers for the wrong lane.`,
  whatToDo: say`Add a \`calibrate\` step that names the connector, before the handover.`,
  source: say`The connector list or the plan, by \`calibrate: true\`.`,
  kinds: plansOnly,
  ground: 'order',
  example: {
    wrong: `connectors:
  - { id: front-radar, class: sensor, zone: front-left, calibrate: true }
operations:
  - { id: op20, do: disconnect, connectors: [front-radar] }
  - { id: op60, do: reconnect, connectors: [front-radar] }
  - { id: op99, do: deliver }
`,
    right: `connectors:
  - { id: front-radar, class: sensor, zone: front-left, calibrate: true }
operations:
  - { id: op20, do: disconnect, connectors: [front-radar] }
  - { id: op60, do: reconnect, connectors: [front-radar] }
  - { id: op90, do: calibrate, connectors: [front-radar] }
  - { id: op99, do: deliver }
`,
  },
  check: dutyCheck({
    fact: 'calibrated',
    task: 'calibrate',
    proof: say`the calibration`,
    place: 'before-use',
    severity: () => 'error',
    title: (connectors) => say`Calibrate ${connectors}`,
    message: (ids, closing, until) =>
      say`The vehicle maker requires a calibration after opening ${andList(ids)}, and none follows ${closing} ${until}. Calibrate as the vehicle maker specifies.`,
  }),
};
