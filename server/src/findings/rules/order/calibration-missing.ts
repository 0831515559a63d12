import { andList, say } from '../../../language/phrase.ts';
import { shiftsAim } from '../../../plan/tables/effects.ts';
import { looksOutByName } from '../../../plan/tables/own-names.ts';
import { operationsOn } from '../../../sequence/facts/use.ts';
import type { CheckContext, FindingReport, FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { dutyCheck } from '../../support/unproven.ts';
import { named, spanOfMention } from '../../support/words.ts';

export const calibrationMissing: FindingRule = {
  id: 'calibration-missing',
  title: say`Handed over without the calibration the vehicle maker requires`,
  severity: 'error',
  page: () => ({
    means: say`A connector is closed for which the vehicle maker requires a calibration after every opening (\`calibrate: true\`), and no calibration follows before the vehicle is handed over; or it was calibrated, and later the wheels are aligned or control units programmed; or metal is pulled, a panel fitted or glass bonded at its place (a warning where the plan does not open it). Or a camera, a radar or a lidar, by its name, is opened or has such work at its place, and nobody states whether the vehicle maker requires a calibration (a warning).`,
    why: say`A camera or radar that is one degree off brakes or steers for the wrong lane.`,
    whatToDo: say`Add a \`calibrate\` step that names the connector, before the handover. Where the vehicle maker requires none, write \`calibrate: false\` at the connector.`,
    source: say`The connector list or the plan, by \`calibrate: true\`.`,
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
  }),
  kinds: plansOnly,
  ground: 'order',
  *check(subject) {
    yield* owed(subject);
    yield* unstated(subject);
  },
};

const owed = dutyCheck({
  fact: 'calibrated',
  task: 'calibrate',
  proof: say`the calibration`,
  place: 'before-use',
  // Of glass and panels that are fitted at its place, not every vehicle maker asks for it.
  severity: (_, unopened) => (unopened && unopened.taskId !== 'straighten' ? 'warning' : 'error'),
  title: (connectors) => say`Calibrate ${connectors}`,
  message: (ids, closing, until) =>
    say`The vehicle maker requires a calibration after opening ${andList(ids)}, and none follows ${closing} ${until}. Calibrate as the vehicle maker specifies.`,
});

/** Cameras and radars of which nobody says whether they must be calibrated, and nobody calibrates them. */
function* unstated({ plan, sequence }: CheckContext): Generator<FindingReport> {
  for (const connector of plan.scope.connectors.values()) {
    if (!looksOutByName(connector) || connector.nodes.some((node) => node.entry('calibrate'))) continue;
    const { id } = connector;
    const step =
      sequence.life(id)?.events.find(({ act }) => act === 'disconnect')?.operation ??
      shiftsAim.flatMap((task) => sequence.around(task, connector.zone))[0];
    if (!step || operationsOn(sequence, connector, 'calibrate').length > 0) continue;
    yield {
      at: step.taskId === 'disconnect' ? spanOfMention(step, id) : step.span,
      operation: step.id,
      connector: id,
      severity: 'warning',
      message: say`${named(step)} may leave ${id} looking the wrong way, and nobody states whether the vehicle maker requires a calibration after it. Look it up, and write \`calibrate: true\` or \`calibrate: false\` at ${id}.`,
    };
  }
}
