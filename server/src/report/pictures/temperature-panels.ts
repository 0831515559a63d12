/** Temperature of the contact against time, drawn in panels side by side on one scale of temperatures. */
import { localizedNumber, joined, say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import { scaleLinear } from 'd3-scale';
import { area, line } from 'd3-shape';
import type { HeatEstimate } from '../../heat/estimate.ts';
import { COPPER_MELTS } from '../../heat/heat-row.ts';
import type { HeatRow } from '../../heat/heat-row.ts';
import type { StatedResistance } from '../../heat/joule.ts';
import type { ValueRange, SurroundedNetwork } from '../../heat/model.ts';
import { MARGIN, ROW_STYLES, WIDTH, mark, path, px, segment, text } from './picture-parts.ts';
import { assumptionText, degreesText, temperatureText, uncertainTemperature } from '../../heat/text.ts';

/** Where the panels of a picture of their own begin and end. Unit: pixels. */
const TOP = 92;
export const BOTTOM = 388;

/** K of the contact at a time in s, of a model of the surroundings and a resistance. */
export type TemperatureCurve = (
  model: SurroundedNetwork,
  contact: StatedResistance,
) => (time: number) => number;

/** Where a panel lies. Unit: pixels. */
interface PanelPlace {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
  /** Has the temperatures at its left. */
  readonly labelled: boolean;
}

/** What a panel shows. */
export interface PanelContent {
  readonly name: Phrase;
  readonly kind: 'steady' | 'peak';
  /** s at the right edge */
  readonly end: number;
  readonly course: TemperatureCurve;
  /** s at which the curves are drawn: turns and corners among them */
  readonly times: readonly number[];
  /** s at which each curve carries its mark */
  readonly markAt: number;
  /** s from the start that are shaded */
  readonly shaded?: number;
}

export type Panel = PanelContent & PanelPlace;

/** The places of a picture of their own: side by side, split at a fraction of the width. */
export function sideBySide(contents: readonly PanelContent[], gap: number, share: number): Panel[] {
  const [left, right] = [80, WIDTH - MARGIN];
  const middle = left + share * (right - left);
  return contents.map((content, i) => ({
    ...content,
    left: i === 0 ? left : middle + gap / 2,
    right: i === contents.length - 1 ? right : middle - gap / 2,
    top: TOP,
    bottom: BOTTOM,
    labelled: i === 0,
  }));
}

/** The rows whose curves say something, and the one that counts most. */
export function drawnRows({ rows, clean }: HeatEstimate): { drawn: readonly HeatRow[]; leading: HeatRow } {
  const drawn = rows.filter((row) => row.key !== 'dirt-100' && row.key !== 'dirt-1000');
  return { drawn, leading: drawn.find((row) => row.key === clean?.row) ?? drawn[0]! };
}

/** The panels, without frame and table; `temperatures` are those the scale has to show of each row. */
export function temperaturePanels(
  estimate: HeatEstimate,
  panels: readonly Panel[],
  temperatures: (row: HeatRow) => readonly (ValueRange | undefined)[],
): readonly Value[] {
  const { model, assumptions } = estimate;
  const { temperatureClass } = estimate.known;
  const { drawn, leading } = drawnRows(estimate);
  const coldest = Math.min(model.ambient, model.coolest.ambient) - 5;
  const parts: Value[] = [];
  panels.forEach((panel, number) => {
    const { left, right, top, bottom, labelled, end, course, name, kind, times, markAt, shaded } = panel;
    const y = scaleLinear()
      .domain([coldest - 273.15, topTemperature(estimate, temperatures) - 273.15])
      .nice()
      .range([bottom, top]);
    // Curves are clipped to the panel; clamp points that lie far outside.
    const at = (kelvin: number): number => Math.max(-1000, y(Math.min(kelvin, 1e5) - 273.15));
    const edge = y.domain()[1]! + 273.15;
    const first = number === 0;
    const unit = timeUnit(end);
    const x = scaleLinear()
      .domain([0, end / unit.size])
      .range([left, right]);
    const xAt = (seconds: number): number => x(seconds / unit.size);

    if (shaded !== undefined) {
      parts.push(
        `<rect class="peak-time" x="${px(left)}" y="${top}" width="${px(xAt(shaded) - left)}" height="${bottom - top}"/>`,
      );
    }
    for (const tick of y.ticks(bottom - top < 200 ? 5 : 7)) {
      parts.push(segment(left, y(tick), right, y(tick), 'grid'));
      if (labelled) parts.push(text(left - 8, y(tick) + 4, `${tick} °C`.replace('-', '−'), '', 'end'));
    }
    const ticks = x.ticks(right - left < 220 ? 3 : 5);
    // Without the one that the last, longer label would touch.
    const shown = ticks.filter((tick, i) => i !== ticks.length - 2 || x(ticks.at(-1)!) - x(tick) > 58);
    shown.forEach((tick, i) => {
      const last = i === shown.length - 1;
      parts.push(segment(x(tick), bottom, x(tick), bottom + 5, 'axis'));
      // A last tick at the very edge is written to the left of it.
      const anchor = last && right - x(tick) < 12 ? 'end' : 'middle';
      parts.push(
        text(
          x(tick) + (anchor === 'end' ? 4 : 0),
          bottom + 18,
          localizedNumber(last ? `${tick} ${unit.name}` : `${tick}`),
          '',
          anchor,
        ),
      );
    });
    parts.push(segment(left, bottom, right, bottom, 'axis'), text(left, top - 10, name, `strong ${kind}`));

    const curve = line<number>(
      (time) => xAt(time) - left,
      (time) => time,
    ).digits(1);
    // A nested drawing cuts off what leaves the panel.
    parts.push(`<svg x="${left}" y="${top}" width="${right - left}" height="${bottom - top}">`);
    if (assumptions.length > 0) {
      const cool = course(model.coolest, leading);
      const warm = course(model.warmest, leading);
      const band = area<number>()
        .x((time) => xAt(time) - left)
        .y0((time) => at(cool(time)) - top)
        .y1((time) => at(warm(time)) - top)
        .digits(1);
      parts.push(path(band(times), 'band'));
    }
    const courses = drawn.map((row) => ({ row, kelvin: course(model, row) }));
    for (const { row, kelvin } of courses) {
      const look = row === leading ? 'line ink' : `line ${kind}`;
      curve.y((time) => at(kelvin(time)) - top);
      parts.push(path(curve(times), look, ROW_STYLES[row.key].dashes));
    }
    parts.push('</svg>');
    const marked = courses.map(({ row, kelvin }) => {
      const seconds = markTime(markAt, kelvin, edge);
      return { row, off: seconds < markAt, x: xAt(seconds), y: Math.max(top + 8, at(kelvin(seconds))) };
    });
    if (temperatureClass !== undefined && at(temperatureClass) >= top) {
      const level = at(temperatureClass);
      parts.push(segment(left, level, right, level, 'bound'));
      if (first) {
        const words =
          right - left < 220
            ? say`class ${temperatureText(temperatureClass)}`
            : say`temperature class ${temperatureText(temperatureClass)}`;
        // Above the line at its right end, unless a mark or another label is there.
        const clear = (y: number): boolean =>
          y > top + 22 &&
          marked.every((one) => one.x < (left + right) / 2 - 20 || Math.abs(one.y - y + 4) > 14);
        parts.push(text(right - 6, clear(level - 6) ? level - 6 : level + 15, words, 'bound halo', 'end'));
      }
    }
    for (const { row, off, x: across, y: down } of marked) {
      parts.push(mark(row.key, across, down));
      if (off && across < right - 90)
        parts.push(text(across + 10, top + 13, say`off the scale`, 'small halo'));
    }
  });
  return parts;
}

const timeUnit = (end: number): { readonly size: number; readonly name: string } =>
  end < 120 ? { size: 1, name: 's' } : end < 7200 ? { size: 60, name: 'min' } : { size: 3600, name: 'h' };

/** "109 ± 5 °C (54…198)": the reading's uncertainty, and in brackets what the assumptions leave. */
export function ranged(range: ValueRange | undefined, uncertainty?: number): Phrase | undefined {
  if (!range) return undefined;
  if (range.value === Infinity) return say`keeps heating`;
  if (range.value > COPPER_MELTS) return say`destroyed first`;
  const value = uncertainTemperature(range.value, uncertainty);
  if (range.low === range.high) return value;
  return say`${value} (${degreesText(range.low)}…${range.high > COPPER_MELTS ? say`melting` : degreesText(range.high)})`;
}

/** The caution required below every temperature picture. */
export const assumptionNotes = ({ assumptions }: HeatEstimate): Phrase[] =>
  assumptions.length === 0
    ? []
    : [
        say`Assumed, because it is not stated: ${joined(assumptions.map(assumptionText), '; ')}. Shading and brackets show the range that these assumptions leave open.`,
      ];

/**
 * Upper end of the scale in K: covers the class, the known rows and the leading row's range, but not extreme
 * rows.
 */
function topTemperature(
  estimate: HeatEstimate,
  temperatures: (row: HeatRow) => readonly (ValueRange | undefined)[],
): number {
  const { drawn, leading } = drawnRows(estimate);
  const clean = drawn.filter((row) => row.key !== 'dirt-10');
  const wanted = Math.max(
    estimate.known.temperatureClass ?? 0,
    ...clean.flatMap((row) => temperatures(row).map((range) => range?.value ?? 0)),
  );
  const open = Math.max(...temperatures(leading).map((range) => range?.high ?? 0));
  return Math.min(Math.max(wanted + 15, Math.min(open, wanted + 80)), COPPER_MELTS);
}

/** Where a curve carries its mark: at `preferred`, or where it has left the panel by then, at the edge. */
function markTime(preferred: number, course: (time: number) => number, edge: number): number {
  if (course(preferred) <= edge) return preferred;
  let inside = 0;
  let outside = preferred;
  for (let i = 0; i < 40; i++) {
    const middle = (inside + outside) / 2;
    if (course(middle) > edge) outside = middle;
    else inside = middle;
  }
  return outside;
}
