/** Heat against resistance as a chart without frame and table. */
import { scaleLog } from 'd3-scale';
import { say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import type { HeatEstimate } from '../../heat/estimate.ts';
import { jouleHeat } from '../../heat/joule.ts';
import { quantityText } from '../../heat/text.ts';
import { mark, path, px, segment, text } from './picture-parts.ts';

/** What gives off about as much; common practice, no source. */
const YARDSTICKS: readonly (readonly [Phrase, number])[] = [
  [say`LED lamp`, 8],
  [say`soldering iron`, 60],
  [say`kettle`, 2000],
  [say`sauna heater`, 9000],
];

/** Unit: pixels. */
export interface ChartBox {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/**
 * Both scales are logarithmic. `undefined` when the estimate has no resistance or no current to draw; `brief` for a chart
 * among others, without yardsticks.
 */
export function heatChart(estimate: HeatEstimate, box: ChartBox, brief = false): Value[] | undefined {
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
    brief
      ? text(box.left, box.top - 10, say`heat against resistance`, 'strong')
      : text(box.left, box.top - 10, say`heat`, 'small'),
    brief ? '' : text(box.right, box.bottom + 34, say`resistance from terminal to terminal`, 'small', 'end'),
    segment(box.left, box.bottom, box.right, box.bottom, 'axis'),
    segment(box.left, box.top, box.left, box.bottom, 'axis'),
  );
  for (const [name, heat] of brief ? [] : YARDSTICKS) {
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
        brief
          ? say`budget: ${quantityText(budget, 'W')}`
          : steady === undefined && cycle
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
    const [to, from] = brief ? resistances.slice(-3, -1).reverse() : resistances.slice(-2).reverse();
    const at = Math.sqrt((to ?? resistances.at(-1)!) * (from ?? low));
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

  return parts;
}

const isDecade = (value: number): boolean => Math.abs(Math.log10(value) % 1) < 1e-9;
