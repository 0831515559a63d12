import { rangeOf } from '../../../text/span.ts';
import type { Span } from '../../../text/span.ts';
import { say } from '../../../language/phrase.ts';
import type { Connector } from '../../../plan/scope.ts';
import { exceeds } from '../../support/compare.ts';
import type { FindingRule, FindingReport } from '../../finding.ts';

export const dutyCycleImpossible: FindingRule = {
  id: 'duty-cycle-impossible',
  title: say`An impossible duty cycle`,
  severity: 'error',
  page: () => ({
    means: say`A connector's duty cycle carries more than its peak current, or the peak for longer than it can last, or has a segment with no duration, or no current at all.`,
    why: say`The heat of the connector is estimated from its currents. If two contradict each other, one of them makes the estimate wrong.`,
    whatToDo: say`Take both from the same source: \`peak\` is the highest momentary current, and every segment of the duty cycle lies within it.`,
    source: say`Language rule: \`peak\` is the highest momentary current, in either direction, and \`peak-time\` how long it can last.`,
    example: {
      wrong: `connectors:
  - { id: inverter-dc, current: { peak: 520 A, duty-cycle: [{ current: 600 A, time: 10 s }, { current: 60 A, time: 90 s }] } }
operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
`,
      right: `connectors:
  - { id: inverter-dc, current: { peak: 520 A, duty-cycle: [{ current: 480 A, time: 10 s }, { current: 60 A, time: 90 s }] } }
operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
`,
    },
  }),
  kinds: ['repair-plan', 'connector-list'],
  ground: 'names',
  *check({ plan, document }) {
    const here = (span: Span): boolean => rangeOf(span).uri === document.uri;
    for (const connector of plan.scope.connectors.values()) {
      const found = contradiction(connector);
      if (!found) continue;
      // If both are in another file, that file reports it.
      const at = found.places.find(here);
      if (!at) continue;
      const trace = found.places
        .filter((place) => place !== at)
        .map((place) => ({ at: place, message: say`what it contradicts` }));
      yield { at, connector: connector.id, message: found.message, trace };
    }
  },
};

interface Contradiction extends Pick<FindingReport, 'message'> {
  /** The cycle's own place first, then that of what it contradicts. */
  readonly places: readonly Span[];
}

function contradiction({ id, current }: Connector): Contradiction | undefined {
  const { peak, peakTime, dutyCycle } = current;
  if (!dutyCycle) return undefined;
  for (const { current: amps, time } of dutyCycle.phases) {
    const written = amps.text.replace(/^-/, '−');
    if (time.si <= 0) {
      return {
        message: say`A segment of the duty cycle of ${id} lasts ${time.text}, so the cycle is not used. State how long ${written} flows.`,
        places: [time.span],
      };
    }
    if (!peak) continue;
    const strength = Math.abs(amps.si);
    if (exceeds(strength, peak.si)) {
      return {
        message: say`${id} carries ${written} in its duty cycle, more than its peak of ${peak.text}, so one of them is wrong. Take both from the same source.`,
        places: [amps.span, peak.span],
      };
    }
    if (peakTime && !exceeds(peak.si, strength) && exceeds(time.si, peakTime.si)) {
      return {
        message: say`${id} carries its peak of ${peak.text} for ${time.text} in its duty cycle, longer than the ${peakTime.text} it can last. Take both from the same source.`,
        places: [time.span, peakTime.span],
      };
    }
  }
  if (dutyCycle.phases.some(({ current: amps }) => amps.si !== 0)) return undefined;
  return {
    message: say`The duty cycle of ${id} carries no current, so there is no heat to follow. State the currents, or take the cycle out.`,
    places: [dutyCycle.span],
  };
}
