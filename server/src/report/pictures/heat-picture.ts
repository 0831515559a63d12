/** Heat against resistance, both on logarithmic scales. */
import { scaleLog } from 'd3-scale';
import { localizedNumber, joined, say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import type { HeatEstimate } from '../../heat/estimate.ts';
import { jouleHeat } from '../../heat/joule.ts';
import { ROW_STYLES, pictureFrame, mark, path, px, segment, table, text } from './picture-parts.ts';
import { VERDICTS } from '../../heat/uncertainty.ts';
import { ranged } from './temperature-panels.ts';
import { quantityText, uncertainText } from '../../heat/text.ts';

/** What gives off about as much; common practice, no source. */
const YARDSTICKS: readonly (readonly [Phrase, number])[] = [
  [say`LED lamp`, 8],
  [say`soldering iron`, 60],
  [say`kettle`, 2000],
  [say`sauna heater`, 9000],
];

/**
 * Heat of `connector` against its contact resistance, both on logarithmic scales. `undefined` when the estimate has no
 * resistance or no current to draw.
 */
export function heatPicture(estimate: HeatEstimate, connector: string): Phrase | undefined {
  const { steady, peak, budget, limit } = estimate.known;
  const { rows, cycle } = estimate;
  // Two currents close together would lie on each other: the cycle's is drawn where no steady one is given.
  const lasting = steady ?? cycle?.rms;
  const lastingName = steady === undefined ? say`mean of the cycle` : say`steady`;
  const currents = [
    { kind: 'steady', current: lasting, name: lastingName, dashes: '' },
    { kind: 'peak', current: peak, name: say`peak`, dashes: '10 5' },
  ].flatMap((each) => (each.current === undefined ? [] : [{ ...each, current: each.current }]));
  if (rows.length === 0 || currents.length === 0) return undefined;

  const box = { left: 80, right: 588, top: 88, bottom: 388 };
  const resistances = rows.map((row) => row.resistance);
  const low = Math.min(...resistances) / 2.5;
  const high = Math.max(...resistances) * 1.6;
  const heats = currents.flatMap(({ current }) => [jouleHeat(current, low), jouleHeat(current, high)]);
  const floor = 10 ** Math.floor(Math.log10(Math.min(...heats, budget ?? Infinity)));
  const x = scaleLog().domain([low, high]).range([box.left, box.right]);
  const y = scaleLog()
    .domain([floor, Math.max(...heats) * 1.3])
    .range([box.bottom, box.top]);

  const parts: Value[] = [];
  for (const tick of x.ticks()) {
    const whole = isDecade(tick);
    parts.push(segment(x(tick), box.top, x(tick), box.bottom, whole ? 'grid' : 'faint'));
    if (whole) parts.push(text(x(tick), box.bottom + 17, quantityText(tick, 'Ω'), '', 'middle'));
  }
  for (const tick of y.ticks()) {
    const whole = isDecade(tick);
    parts.push(segment(box.left, y(tick), box.right, y(tick), whole ? 'grid' : 'faint'));
    if (whole) parts.push(text(box.left - 8, y(tick) + 4, quantityText(tick, 'W'), '', 'end'));
  }
  parts.push(
    text(box.left, box.top - 10, say`heat`, 'small'),
    text(box.right, box.bottom + 34, say`resistance from terminal to terminal`, 'small', 'end'),
    segment(box.left, box.bottom, box.right, box.bottom, 'axis'),
    segment(box.left, box.top, box.left, box.bottom, 'axis'),
  );
  for (const [name, heat] of YARDSTICKS) {
    if (heat < floor || y(heat) < box.top) continue;
    parts.push(
      segment(box.right, y(heat), box.right + 6, y(heat), 'axis'),
      text(box.right + 10, y(heat) + 4, name, 'small'),
    );
  }

  if (limit !== undefined) {
    parts.push(
      segment(x(limit), box.top, x(limit), box.bottom, 'bound'),
      text(x(limit) + 5, box.top + 12, say`limit ${quantityText(limit, 'Ω')}`, 'bound halo'),
    );
  }
  if (budget !== undefined) {
    parts.push(
      segment(box.left, y(budget), box.right, y(budget), 'bound'),
      text(
        box.right - 4,
        y(budget) + 15,
        steady === undefined && cycle
          ? say`heat budget ${quantityText(budget, 'W')} on average`
          : say`heat budget ${quantityText(budget, 'W')} at steady current`,
        'bound halo',
        'end',
      ),
    );
  }
  const slope = (Math.atan2(y(1) - y(10), x(10) - x(1)) * -180) / Math.PI;
  for (const { kind, current, name, dashes } of currents) {
    parts.push(
      path(
        `M${px(x(low))} ${px(y(jouleHeat(current, low)))}L${px(x(high))} ${px(y(jouleHeat(current, high)))}`,
        `line ${kind}`,
        dashes,
      ),
    );
    // Written along its line, clear of the marks: the peak above, the steady current below.
    const at = Math.sqrt(resistances.at(-1)! * (resistances.at(-2) ?? low));
    const shift = kind === 'peak' ? -9 : 19;
    parts.push(
      `<g transform="translate(${px(x(at))} ${px(y(jouleHeat(current, at)))}) rotate(${px(slope)})">`,
      text(0, shift, say`${name} ${quantityText(current, 'A')}`, `${kind} strong halo`, 'middle'),
      '</g>',
    );
  }
  for (const row of rows) {
    for (const { current } of currents)
      parts.push(mark(row.key, x(row.resistance), y(jouleHeat(current, row.resistance))));
  }

  const figures = (
    figure: 'steady' | 'peak' | 'cycle' | 'dropAtPeak',
    unit: 'W' | 'V',
  ): (Value | undefined)[] =>
    rows.map((row) =>
      row[figure] === undefined ? undefined : uncertainText(row[figure], row.uncertainties?.[figure], unit),
    );
  const listed = table(
    box.bottom + 66,
    rows.map((row) => row.key),
    [
      {
        head: say`resistance`,
        cells: rows.map((row) => uncertainText(row.resistance, row.uncertainty, 'Ω')),
      },
      { head: say`steady heat`, cells: figures('steady', 'W') },
      { head: say`peak heat`, cells: figures('peak', 'W') },
      { head: say`cycle, mean`, cells: figures('cycle', 'W') },
      { head: say`voltage drop`, cells: figures('dropAtPeak', 'V') },
      {
        head: say`same heat as cable`,
        cells: rows.map(({ cableLength }) =>
          cableLength === undefined ? undefined : localizedNumber(`${Number(cableLength.toPrecision(2))} m`),
        ),
      },
    ],
  );
  parts.push(listed.svg);

  const { judgement, clean, largestResistance } = estimate;
  const notes: Phrase[] = [];
  if (judgement) {
    const verdict = VERDICTS[judgement.verdict];
    notes.push(say`The reading against the limit: ${verdict}. Rule: ${judgement.rule}.`);
  }
  const room = [
    largestResistance.forBudget === undefined
      ? undefined
      : say`${inOhm(largestResistance.forBudget)} at steady current`,
    largestResistance.forCycleBudget === undefined
      ? undefined
      : say`${inOhm(largestResistance.forCycleBudget)} over the duty cycle`,
  ].filter((one) => one !== undefined);
  if (budget !== undefined && room.length > 0) {
    notes.push(
      say`Heat stays within the budget of ${quantityText(budget, 'W')} up to ${joined(room, ', ')}.`,
    );
  }
  const spots = rows.find((row) => row.key === clean?.row);
  if (spots?.dropAtPeak !== undefined) {
    const behind = ranged(spots.spotTemperature, spots.uncertainties?.spotTemperature);
    notes.push(
      behind === undefined
        ? say`The drop is read from terminal to terminal; crimps account for part of it.`
        : say`The drop is read from terminal to terminal; crimps account for part of it. If all of the warm drop were across the contact spots of the ${ROW_STYLES[spots.key].name} contact, they would be at ${behind} (Holm).`,
    );
  }
  if (clean) {
    notes.push(
      say`The dirt rows multiply the clean resistance (${ROW_STYLES[clean.row].name}); only a measurement tells how dirty a contact is.`,
    );
  }
  return pictureFrame(
    say`Heat of ${connector}`,
    say`I²R of one contact at the given currents, in its resistance as stated; logarithmic scales`,
    parts,
    listed.bottom,
    notes,
  );
}

const inOhm = (value: number): Phrase => quantityText(value, 'Ω');

const isDecade = (value: number): boolean => Math.abs(Math.log10(value) % 1) < 1e-9;
