import { scaleLog } from 'd3-scale';
import { line } from 'd3-shape';

interface Curve {
  readonly name: string;
  /** Milliseconds at each size. */
  readonly points: readonly (readonly [lines: number, ms: number])[];
  readonly colour: string;
  readonly dashed?: boolean;
}

const [width, height] = [720, 400];
const frame = { left: 64, right: 250, top: 40, bottom: 48 };

/**
 * Milliseconds over lines, both logarithmic: a level line does not grow with the length of the text. Colours of middle
 * lightness and no ground of its own: it reads on white and on black.
 */
export function growthPicture(curves: readonly Curve[]): string {
  const all = curves.flatMap(({ points }) => points);
  const sizes = [...new Set(all.map(([size]) => size))].sort((a, b) => a - b);
  const times = all.map(([, ms]) => ms);
  const x = scaleLog([sizes[0]!, sizes.at(-1)!], [frame.left, width - frame.right]);
  const y = scaleLog([Math.min(...times), Math.max(...times)], [height - frame.bottom, frame.top]).nice();
  const [bottom, top] = y.range() as [number, number];
  const decades = y.ticks().filter((value) => Math.log10(value) % 1 === 0);
  const text = (at: number, level: number, content: string, more = ''): string =>
    `<text x="${at.toFixed(1)}" y="${level.toFixed(1)}" ${more}>${content}</text>`;
  const path = line<readonly [number, number]>(
    ([size]) => x(size),
    ([, ms]) => y(ms),
  );
  const parts = [
    text(frame.left - 48, 20, 'Time from a change of the text to its findings, ms', 'font-weight="bold"'),
    ...decades.map(
      (value) =>
        `<path class="grid" d="M${frame.left},${y(value).toFixed(1)}H${width - frame.right}"/>` +
        text(frame.left - 8, y(value) + 4, String(value), 'text-anchor="end"'),
    ),
    ...sizes.map(
      (size) =>
        `<path class="grid" d="M${x(size).toFixed(1)},${bottom}V${top}"/>` +
        text(x(size), bottom + 20, size.toLocaleString('en'), 'text-anchor="middle"'),
    ),
    text((frame.left + width - frame.right) / 2, height - 8, 'lines of the plan', 'text-anchor="middle"'),
    ...curves.map(
      ({ points, colour, dashed }) =>
        `<path d="${path(points)}" fill="none" stroke="${colour}" stroke-width="2.5"${dashed ? ' stroke-dasharray="6 5"' : ''}/>` +
        points
          .map(([size, ms]) => `<circle cx="${x(size)}" cy="${y(ms)}" r="3.5" style="fill:${colour}"/>`)
          .join(''),
    ),
    ...labels(curves.map((curve) => ({ ...curve, level: y(curve.points.at(-1)![1]) }))).map(
      ({ name, colour, level }) => text(width - frame.right + 12, level + 4, name, `style="fill:${colour}"`),
    ),
  ];
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" width="${width}" height="${height}" role="img" aria-label="Time from a change of the text to its findings over the length of the plan" font-family="system-ui, sans-serif" font-size="13">
<style>text { fill: #777 } .grid { stroke: #8886; fill: none }</style>
${parts.join('\n')}
</svg>
`;
}

/** Names at the ends of their curves, moved apart where they would touch. */
function labels<T extends { readonly level: number }>(curves: readonly T[]): T[] {
  let last = -Infinity;
  return [...curves]
    .sort((a, b) => a.level - b.level)
    .map((curve) => {
      last = Math.max(curve.level, last + 17);
      return { ...curve, level: last };
    });
}
