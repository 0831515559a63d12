/** The estimate drawn: heat against resistance, and temperature against time. SVG text, ready for a page or a print. */
import { scaleLinear, scaleLog } from 'd3-scale';
import { area, line } from 'd3-shape';
import { COPPER_MELTS } from './estimate.ts';
import type { HeatEstimate, HeatRow } from './estimate.ts';
import { jouleHeat } from './joule.ts';
import type { Ranged, SurroundedNetwork } from './model.ts';
import {
  LOOKS,
  MARGIN,
  WIDTH,
  frame,
  mark,
  path,
  px,
  segment,
  stacked,
  table,
  text,
} from './picture-parts.ts';
import { durationText, quantityText, temperatureText, whenPassed } from './text.ts';
import { AT_REST, riseAfter, steadyRise } from './thermal.ts';

/** What gives off about as much; common practice, no source. */
const YARDSTICKS: readonly (readonly [string, number])[] = [
  ['LED lamp', 8],
  ['soldering iron', 60],
  ['kettle', 2000],
  ['sauna stove', 9000],
];

interface Box {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** Both pictures of `connector`, as far as there is something to draw, one above the other in one SVG. */
export function heatPictures(estimate: HeatEstimate, connector: string): string | undefined {
  const pictures = [heatPicture(estimate, connector), temperaturePicture(estimate, connector)];
  return stacked(pictures.flatMap((picture) => picture ?? []));
}

/**
 * Heat of `connector` against its contact resistance, both on logarithmic scales. `undefined` when the estimate has no
 * resistance or no current to draw.
 */
export function heatPicture(estimate: HeatEstimate, connector: string): string | undefined {
  const { steady, peak, budget, limit } = estimate.known;
  const { rows } = estimate;
  const currents = [
    { kind: 'steady', current: steady, name: 'steady', dashes: '' },
    { kind: 'peak', current: peak, name: 'peak', dashes: '10 5' },
  ].flatMap((each) => (each.current === undefined ? [] : [{ ...each, current: each.current }]));
  if (rows.length === 0 || currents.length === 0) return undefined;

  const box: Box = { left: 80, right: 588, top: 88, bottom: 388 };
  const resistances = rows.map((row) => row.resistance);
  const low = Math.min(...resistances) / 2.5;
  const high = Math.max(...resistances) * 1.6;
  const heats = currents.flatMap(({ current }) => [jouleHeat(current, low), jouleHeat(current, high)]);
  const floor = 10 ** Math.floor(Math.log10(Math.min(...heats, budget ?? Infinity)));
  const x = scaleLog().domain([low, high]).range([box.left, box.right]);
  const y = scaleLog()
    .domain([floor, Math.max(...heats) * 1.3])
    .range([box.bottom, box.top]);

  const parts: string[] = [];
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
    text(box.left, box.top - 10, 'heat', 'small'),
    text(box.right, box.bottom + 34, 'resistance from terminal to terminal', 'small', 'end'),
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
      text(x(limit) + 5, box.top + 12, `limit ${quantityText(limit, 'Ω')}`, 'bound halo'),
    );
  }
  if (budget !== undefined) {
    parts.push(
      segment(box.left, y(budget), box.right, y(budget), 'bound'),
      text(
        box.right - 4,
        y(budget) + 15,
        `heat budget ${quantityText(budget, 'W')} at steady current`,
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
      text(0, shift, `${name} ${quantityText(current, 'A')}`, `${kind} strong halo`, 'middle'),
      '</g>',
    );
  }
  for (const row of rows) {
    for (const { current } of currents)
      parts.push(mark(row.key, x(row.resistance), y(jouleHeat(current, row.resistance))));
  }

  const cells = <T>(
    value: (row: HeatRow) => T | undefined,
    write: (value: T) => string,
  ): (string | undefined)[] =>
    rows.map((row) => {
      const found = value(row);
      return found === undefined ? undefined : write(found);
    });
  const listed = table(
    box.bottom + 66,
    rows.map((row) => row.key),
    [
      { head: 'resistance', cells: cells((row) => row.resistance, inOhm) },
      { head: 'steady heat', cells: cells((row) => row.steady, inWatt) },
      { head: 'peak heat', cells: cells((row) => row.peak, inWatt) },
      {
        head: 'drop at peak',
        cells: cells(
          (row) => row.dropAtPeak,
          (volt) => quantityText(volt, 'V'),
        ),
      },
      {
        head: 'like cable of',
        cells: cells(
          (row) => row.cableLength,
          (m) => `${Number(m.toPrecision(2))} m`,
        ),
      },
    ],
  );
  parts.push(listed.svg);

  const { judgement, clean, largestResistance } = estimate;
  const notes: string[] = [];
  if (judgement) notes.push(`The reading against the limit: ${judgement.verdict}. Rule: ${judgement.rule}.`);
  if (budget !== undefined && largestResistance.forBudget !== undefined) {
    notes.push(`The heat budget of ${inWatt(budget)} is kept up to ${inOhm(largestResistance.forBudget)}.`);
  }
  if (clean) {
    notes.push(
      `Dirt rows multiply the clean resistance (${LOOKS[clean.row].name}); how dirty a contact is, only a measurement tells.`,
    );
  }
  return frame(
    `Heat of ${connector}`,
    'I²R at the given currents, logarithmic scales',
    parts.join(''),
    listed.bottom,
    notes,
  );
}

/**
 * Temperature of the contact of `connector` against time: warming up at steady current, then the peak. `undefined`
 * when the estimate has no resistance or no steady current.
 */
export function temperaturePicture(estimate: HeatEstimate, connector: string): string | undefined {
  const { steady, peak, peakTime, temperatureClass } = estimate.known;
  const { rows, model, assumptions } = estimate;
  if (rows.length === 0 || steady === undefined) return undefined;
  const peaked = peak === undefined || peakTime === undefined ? undefined : { peak, peakTime };

  const drawn = rows.filter((row) => row.key !== 'dirt-100' && row.key !== 'dirt-1000');
  const leading = drawn.find((row) => row.key === estimate.clean?.row) ?? drawn[0]!;
  const top = topTemperature(estimate, drawn, leading);
  const bottom = Math.min(model.ambient, model.coolest.ambient) - 5;
  const y = scaleLinear()
    .domain([bottom - 273.15, top - 273.15])
    .nice()
    .range([388, 88]);
  // What leaves the panel is cut off; how far it goes beyond need not be written out.
  const at = (kelvin: number): number => Math.max(-1000, y(kelvin - 273.15));
  const height: Pick<Box, 'top' | 'bottom'> = { top: 88, bottom: 388 };
  const left: Box = { ...height, left: 80, right: peaked ? 360 : WIDTH - MARGIN };
  const right: Box = { ...height, left: 384, right: WIDTH - MARGIN };

  const warming = (m: SurroundedNetwork, resistance: number, time: number): number =>
    m.ambient + riseAfter(m.network, AT_REST, jouleHeat(steady, resistance), time).contact;
  const peaking = (m: SurroundedNetwork, resistance: number, time: number): number => {
    const heat = jouleHeat(steady, resistance);
    const warm = steadyRise(m.network, heat);
    if (!peaked) return m.ambient + warm.contact;
    const during = riseAfter(
      m.network,
      warm,
      jouleHeat(peaked.peak, resistance),
      Math.min(time, peaked.peakTime),
    );
    return m.ambient + riseAfter(m.network, during, heat, Math.max(0, time - peaked.peakTime)).contact;
  };

  const parts: string[] = [];
  const panels = [
    { box: left, end: 4.5 * model.slow, course: warming, name: `warming up at ${quantityText(steady, 'A')}` },
    ...(peaked
      ? [
          {
            box: right,
            end: 2.5 * peaked.peakTime,
            course: peaking,
            name: `then ${quantityText(peaked.peak, 'A')} for ${durationText(peaked.peakTime)}`,
          },
        ]
      : []),
  ];
  for (const { box, end, course, name } of panels) {
    const unit =
      end < 120 ? { size: 1, name: 's' } : end < 7200 ? { size: 60, name: 'min' } : { size: 3600, name: 'h' };
    const x = scaleLinear()
      .domain([0, end / unit.size])
      .range([box.left, box.right]);
    const xAt = (seconds: number): number => x(seconds / unit.size);

    if (course === peaking && peaked) {
      parts.push(
        `<rect class="peak-time" x="${px(box.left)}" y="${box.top}" width="${px(xAt(peaked.peakTime) - box.left)}" height="${box.bottom - box.top}"/>`,
      );
    }
    for (const tick of y.ticks(7)) {
      parts.push(segment(box.left, y(tick), box.right, y(tick), 'grid'));
      if (box === left)
        parts.push(text(box.left - 8, y(tick) + 4, `${tick} °C`.replace('-', '−'), '', 'end'));
    }
    const ticks = x.ticks(5);
    ticks.forEach((tick, i) => {
      parts.push(segment(x(tick), box.bottom, x(tick), box.bottom + 5, 'axis'));
      parts.push(
        text(
          x(tick),
          box.bottom + 18,
          i === ticks.length - 1 ? `${tick} ${unit.name}` : `${tick}`,
          '',
          'middle',
        ),
      );
    });
    parts.push(
      segment(box.left, box.bottom, box.right, box.bottom, 'axis'),
      text(box.left, box.top - 10, name, `strong ${course === peaking ? 'peak' : 'steady'}`),
    );

    // Close together at first, where the contact runs ahead of its body; the end of the peak is one of them.
    const times = Array.from({ length: 101 }, (_, i) =>
      course === peaking ? (end * i) / 100 : end * (i / 100) ** 3,
    );
    const curve = line<number>(
      (time) => xAt(time) - box.left,
      (time) => time,
    );
    // A nested drawing cuts off what leaves the panel.
    parts.push(
      `<svg x="${box.left}" y="${box.top}" width="${box.right - box.left}" height="${box.bottom - box.top}">`,
    );
    if (assumptions.length > 0) {
      const band = area<number>()
        .x((time) => xAt(time) - box.left)
        .y0((time) => at(course(model.coolest, leading.resistance, time)) - box.top)
        .y1((time) => at(course(model.warmest, leading.resistance, time)) - box.top)
        .digits(1);
      parts.push(path(band(times), 'band'));
    }
    for (const row of drawn) {
      const kind = row === leading ? 'line ink' : course === peaking ? 'line peak' : 'line steady';
      curve.y((time) => at(course(model, row.resistance, time)) - box.top).digits(1);
      parts.push(path(curve(times), kind, LOOKS[row.key].dashes));
    }
    parts.push('</svg>');
    if (temperatureClass !== undefined && at(temperatureClass) >= box.top) {
      parts.push(segment(box.left, at(temperatureClass), box.right, at(temperatureClass), 'bound'));
      if (box === left) {
        parts.push(
          text(
            box.right - 6,
            at(temperatureClass) - 6,
            `temperature class ${temperatureText(temperatureClass)}`,
            'bound halo',
            'end',
          ),
        );
      }
    }
    const preferred = course === peaking && peaked ? peaked.peakTime : 0.8 * end;
    for (const row of drawn) {
      const kelvin = (time: number): number => course(model, row.resistance, time);
      const seconds = markTime(preferred, kelvin, y.domain()[1]! + 273.15);
      const height = at(kelvin(seconds));
      parts.push(mark(row.key, xAt(seconds), Math.max(box.top + 8, height)));
      if (seconds < preferred)
        parts.push(text(xAt(seconds) + 10, box.top + 13, 'off the scale', 'small halo'));
    }
  }

  const listed = table(
    454,
    rows.map((row) => row.key),
    [
      { head: 'resistance', cells: rows.map((row) => inOhm(row.resistance)) },
      {
        head: `long at ${quantityText(steady, 'A')}`,
        cells: rows.map((row) => ranged(row.steadyTemperature)),
      },
      { head: 'after the peak', cells: rows.map((row) => ranged(row.peakTemperature)) },
      ...(temperatureClass === undefined
        ? []
        : [
            {
              head: `passes ${temperatureText(temperatureClass)}`,
              cells: rows.map((row) => whenPassed(row, peaked?.peakTime)),
            },
          ]),
    ],
  );
  parts.push(listed.svg);

  const subtitle = `surroundings at ${temperatureText(model.ambient)}; time constants ${durationText(model.fast)} for the contact, ${durationText(model.slow)} for the whole connector`;
  const notes =
    assumptions.length === 0
      ? []
      : [
          `Assumed, because the plan does not say: ${assumptions.map((each) => each.name).join('; ')}. Shaded and in brackets: what these assumptions leave open.`,
        ];
  return frame(`Temperature of ${connector}`, subtitle, parts.join(''), listed.bottom, notes);
}

const inOhm = (value: number): string => quantityText(value, 'Ω');
const inWatt = (value: number): string => quantityText(value, 'W');

const isDecade = (value: number): boolean => Math.abs(Math.log10(value) % 1) < 1e-9;

/** K at the upper edge: room for class, known rows and the leading row's range, but not for a furnace. */
function topTemperature({ known }: HeatEstimate, drawn: readonly HeatRow[], leading: HeatRow): number {
  const clean = drawn.filter((row) => row.key !== 'dirt-10');
  const wanted = Math.max(
    known.temperatureClass ?? 0,
    ...clean.flatMap((row) => [row.steadyTemperature?.value ?? 0, row.peakTemperature?.value ?? 0]),
  );
  const open = Math.max(leading.steadyTemperature?.high ?? 0, leading.peakTemperature?.high ?? 0);
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

function ranged(range: Ranged | undefined): string | undefined {
  if (!range) return undefined;
  if (range.value > COPPER_MELTS) return 'destroyed before';
  const value = temperatureText(range.value);
  if (range.low === range.high) return value;
  const high = range.high > COPPER_MELTS ? 'melting' : bare(range.high);
  return `${value} (${bare(range.low)} to ${high})`;
}

const bare = (kelvin: number): string => temperatureText(kelvin).replace(' °C', '');
