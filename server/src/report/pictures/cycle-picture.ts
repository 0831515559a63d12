/** Temperature against time over a duty cycle: the first round from cold, and a cycle once temperatures have settled. */
import { say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import { scaleLinear } from 'd3-scale';
import type { HeatEstimate } from '../../heat/estimate.ts';
import type { HeatRow } from '../../heat/heat-row.ts';
import type { ValueRange } from '../../heat/model.ts';
import type { UsableDutyCycle } from '../../heat/load.ts';
import type { CurrentSegment } from '../../heat/joule.ts';
import { pictureFrame, path, px, segment, table, text } from './picture-parts.ts';
import {
  BOTTOM,
  assumptionNotes,
  drawnRows,
  ranged,
  sideBySide,
  temperaturePanels,
} from './temperature-panels.ts';
import type { PanelContent, TemperatureCurve } from './temperature-panels.ts';
import {
  durationText,
  earliestPassed,
  quantityText,
  temperatureText,
  uncertainText,
} from '../../heat/text.ts';
import { cycleCourse, temperatureAt } from '../../heat/warm-contact.ts';

/** Position of the strip of currents. */
const STRIP = { top: BOTTOM + 34, bottom: BOTTOM + 84 };

/** The temperatures that the scale of those panels has to show. */
export const cycleTemperatures = (row: HeatRow): readonly (ValueRange | undefined)[] => [
  row.firstRoundTemperature,
  row.cycleTemperature,
];

/** The first cycle and a settled one; none without a duty cycle. */
export function cyclePanels(estimate: HeatEstimate): PanelContent[] {
  const { cycle, model } = estimate;
  if (!cycle) return [];
  const { leading } = drawnRows(estimate);
  const times = sampled(cycle.pieces);
  const course =
    (round: 'first' | 'settled'): TemperatureCurve =>
    (m, contact) => {
      const followed = cycleCourse(m, contact, cycle.pieces, round);
      return (time) => temperatureAt(m, followed, time);
    };
  const panel = (round: 'first' | 'settled', name: Phrase): PanelContent => {
    const kelvin = course(round)(model, leading);
    const markAt = times.reduce((best, time) => (kelvin(time) > kelvin(best) ? time : best), 0);
    const kind = round === 'first' ? 'steady' : 'peak';
    return { name, kind, end: cycle.duration, course: course(round), times, markAt };
  };
  return [
    panel('first', say`first cycle, from cold`),
    panel('settled', say`a cycle once temperatures have settled`),
  ];
}

/** `undefined` when the estimate has no resistance or no duty cycle. */
export function cyclePicture(estimate: HeatEstimate, connector: string): Phrase | undefined {
  const { rows, cycle, model, known } = estimate;
  if (rows.length === 0 || !cycle) return undefined;
  const panels = sideBySide(cyclePanels(estimate), 28, 0.5);
  const drawing = temperaturePanels(estimate, panels, cycleTemperatures);
  const strips = panels.flatMap(({ left, right }, i) => currents(cycle, left, right, i === 0));

  const { temperatureClass } = known;
  const listed = table(
    STRIP.bottom + 44,
    rows.map((row) => row.key),
    [
      {
        head: say`resistance`,
        cells: rows.map((row) => uncertainText(row.resistance, row.uncertainty, 'Ω')),
      },
      {
        head: say`mean heat`,
        cells: rows.map((row) =>
          row.cycle === undefined ? undefined : uncertainText(row.cycle, row.uncertainties?.cycle, 'W'),
        ),
      },
      { head: say`hottest, first cycle`, cells: rows.map((row) => ranged(row.firstRoundTemperature)) },
      {
        head: say`hottest, once settled`,
        cells: rows.map((row) => ranged(row.cycleTemperature, row.uncertainties?.cycleTemperature)),
      },
      ...(temperatureClass === undefined
        ? []
        : [
            {
              head: say`${temperatureText(temperatureClass)} at the earliest`,
              cells: rows.map((row) => earliestPassed(row, undefined, 'cycle')),
            },
          ]),
    ],
  );
  const notes = assumptionNotes(estimate);
  const room = estimate.largestResistance.forCycleTemperature;
  if (temperatureClass !== undefined && room) {
    notes.unshift(
      say`As assumed, the contact stays within its ${temperatureText(temperatureClass)} class up to ${quantityText(room.value, 'Ω')} in this cycle; at the warm end up to ${quantityText(room.low, 'Ω')}.`,
    );
  }
  const { length } = cycle.pieces;
  const stretches = length === 1 ? say`1 segment` : say`${length} segments`;
  const subtitle = say`estimated; ${stretches} in ${durationText(cycle.duration)}, repeated; ${quantityText(cycle.rms, 'A')} RMS; air around it ${temperatureText(model.ambient)}`;
  const content = [...drawing, ...strips, listed.svg];
  return pictureFrame(say`Duty cycle of ${connector}`, subtitle, content, listed.bottom, notes);
}

/** s: sample times: the ends of every piece, and times between, denser where the contact changes fast. */
function sampled(pieces: readonly CurrentSegment[]): number[] {
  const each = Math.max(3, Math.min(24, Math.round(160 / pieces.length)));
  const times = [0];
  let start = 0;
  for (const { duration } of pieces) {
    for (let i = 1; i <= each; i++) times.push(start + duration * (i / each) ** 2);
    start += duration;
  }
  return times;
}

/** The currents below a panel, as steps from zero; charging and braking go below it. */
function currents(
  { pieces, duration, highest }: UsableDutyCycle,
  left: number,
  right: number,
  first: boolean,
): readonly Value[] {
  const max = Math.max(0, ...pieces.map((piece) => piece.current));
  const least = Math.min(0, ...pieces.map((piece) => piece.current));
  const y = scaleLinear().domain([least, max]).range([STRIP.bottom, STRIP.top]);
  const x = scaleLinear().domain([0, duration]).range([left, right]);
  const parts: Value[] = [];
  let time = 0;
  let steps = `M${px(left)} ${px(y(0))}`;
  for (const piece of pieces) {
    const [from, to] = [x(time), x(time + piece.duration)];
    const [top, bottom] = [y(Math.max(0, piece.current)), y(Math.min(0, piece.current))];
    if (bottom > top) {
      parts.push(
        `<rect class="strip" x="${px(from)}" y="${px(top)}" width="${px(to - from)}" height="${px(bottom - top)}"/>`,
      );
    }
    steps += `V${px(y(piece.current))}H${px(to)}`;
    time += piece.duration;
  }
  parts.push(segment(left, y(0), right, y(0), 'axis'), path(steps, 'strip-line'));
  if (first) {
    const label = (amps: number): Phrase => text(left - 8, y(amps) + 4, quantityText(amps, 'A'), '', 'end');
    parts.push(label(max === 0 ? least : max), ...(max > 0 && least < -0.25 * highest ? [label(least)] : []));
  }
  return parts;
}
