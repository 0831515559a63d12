/** Temperature against time for the steady current and the peak that follows it. */
import { say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import type { HeatEstimate } from '../../heat/estimate.ts';
import type { HeatRow } from '../../heat/heat-row.ts';
import type { ValueRange } from '../../heat/model.ts';
import { pictureFrame, table } from './picture-parts.ts';
import { assumptionNotes, ranged, sideBySide, temperaturePanels } from './temperature-panels.ts';
import type { TemperatureCurve, PanelContent } from './temperature-panels.ts';
import {
  durationText,
  quantityText,
  temperatureText,
  uncertainText,
  earliestPassed,
  touchWarning,
} from '../../heat/text.ts';
import { peakCourse, steadyCourse, temperatureAt } from '../../heat/warm-contact.ts';

/** The temperatures that the scale of those panels has to show. */
export const steadyTemperatures = (row: HeatRow): readonly (ValueRange | undefined)[] => [
  row.steadyTemperature,
  row.peakTemperature,
];

/** Warming up at steady current, then the peak, as far as they are stated. */
export function steadyPanels(estimate: HeatEstimate): PanelContent[] {
  const { steady, peak, peakTime } = estimate.known;
  const { model } = estimate;
  if (steady === undefined) return [];

  const warming: TemperatureCurve = (m, contact) => {
    const course = steadyCourse(m, contact, steady);
    return (time) => temperatureAt(m, course, time);
  };
  const warmingEnd = 4.5 * model.slow;
  const panels: PanelContent[] = [
    {
      name: say`warming up at ${quantityText(steady, 'A')}`,
      kind: 'steady',
      end: warmingEnd,
      course: warming,
      // Sample densely at first, while the contact warms faster than its body.
      times: Array.from({ length: 101 }, (_, i) => warmingEnd * (i / 100) ** 3),
      markAt: 0.8 * warmingEnd,
    },
  ];
  if (peak !== undefined && peakTime !== undefined) {
    const peaking: TemperatureCurve = (m, contact) => {
      const course = peakCourse(m, contact, { steady, peak, peakTime });
      if (!course) return () => Infinity;
      const [end] = course.segments;
      const network = (time: number, part: 'contact' | 'body'): number =>
        temperatureAt(m, course, time, part) - course.sink;
      const start = { contact: network(peakTime, 'contact'), body: network(peakTime, 'body') };
      const scale = (steady / peak) ** 2;
      const cooling = {
        ...course,
        start,
        segments: [{ heat: end!.heat * scale, gain: end!.gain * scale, duration: Infinity }],
      };
      return (time) =>
        time <= peakTime ? temperatureAt(m, course, time) : temperatureAt(m, cooling, time - peakTime);
    };
    panels.push({
      name: say`then ${quantityText(peak, 'A')} for ${durationText(peakTime)}`,
      kind: 'peak',
      end: 2.5 * peakTime,
      course: peaking,
      // The end of the peak is one of them.
      times: Array.from({ length: 101 }, (_, i) => (2.5 * peakTime * i) / 100),
      markAt: peakTime,
      shaded: peakTime,
    });
  }
  return panels;
}

/**
 * Temperature of the contact of `connector` against time: warming up at steady current, then the peak. `undefined`
 * when the estimate has no resistance or no steady current.
 */
export function temperaturePicture(estimate: HeatEstimate, connector: string): Phrase | undefined {
  const { steady, peakTime, temperatureClass } = estimate.known;
  const { rows, model, clean } = estimate;
  if (rows.length === 0 || steady === undefined) return undefined;

  const drawing = temperaturePanels(
    estimate,
    sideBySide(steadyPanels(estimate), 28, 0.478),
    steadyTemperatures,
  );

  const listed = table(
    454,
    rows.map((row) => row.key),
    [
      {
        head: say`resistance`,
        cells: rows.map((row) => uncertainText(row.resistance, row.uncertainty, 'Ω')),
      },
      {
        head: say`steady ${quantityText(steady, 'A')}`,
        cells: rows.map((row) => ranged(row.steadyTemperature, row.uncertainties?.steadyTemperature)),
      },
      {
        head: say`after the peak`,
        cells: rows.map((row) => ranged(row.peakTemperature, row.uncertainties?.peakTemperature)),
      },
      ...(temperatureClass === undefined
        ? []
        : [
            {
              head: say`${temperatureText(temperatureClass)} at the earliest`,
              // The cycle has a picture of its own.
              cells: rows.map((row) => earliestPassed(row, peakTime, 'steady')),
            },
          ]),
    ],
  );

  const notes = assumptionNotes(estimate);
  const { forSteadyTemperature: long, forPeakTemperature: after } = estimate.largestResistance;
  if (temperatureClass !== undefined && long) {
    const kept = temperatureText(temperatureClass);
    const lasting = quantityText(long.value, 'Ω');
    notes.unshift(
      after
        ? say`As assumed, the contact stays within its ${kept} class up to ${lasting} in continuous use at ${quantityText(steady, 'A')}, and up to ${quantityText(after.value, 'Ω')} if the peak is counted too; at the warm end up to ${quantityText(Math.min(long.low, after.low), 'Ω')}.`
        : say`As assumed, the contact stays within its ${kept} class up to ${lasting} in continuous use at ${quantityText(steady, 'A')}; at the warm end up to ${quantityText(long.low, 'Ω')}.`,
    );
  }
  const touch = rows.find((row) => row.key === clean?.row)?.touch;
  if (touch?.burnsAfter !== undefined)
    notes.unshift(touchWarning(touch, say`in continuous use at ${quantityText(steady, 'A')}`));
  const subtitle = say`estimated; air around it ${temperatureText(model.ambient)}; time constants ${durationText(model.fast)} for the contact, ${durationText(model.slow)} for the whole connector`;
  const content = [...drawing, listed.svg];
  return pictureFrame(say`Temperature of ${connector}`, subtitle, content, listed.bottom, notes);
}
