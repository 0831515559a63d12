/**
 * What the pictures share: a frame, marks, a table. Pictures are self-contained SVG text, put together when their
 * language is known. Colours come from custom
 * properties of the page (`--plugward-ink`, `--plugward-muted`, `--plugward-grid`, `--plugward-paper`,
 * `--plugward-steady`, `--plugward-peak`, `--plugward-bound`) and fall back to a light, a dark and a print set.
 * Shapes and dashes carry the same meaning as the colours.
 */
import { symbol, symbolCircle, symbolDiamond, symbolSquare, symbolStar, symbolTriangle } from 'd3-shape';
import type { SymbolType } from 'd3-shape';
import { own } from '../../base/collections.ts';
import type { Language } from '../../language/language.ts';
import { inLanguage, joined, deferred, say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import { ESTIMATE_NOTE } from '../../heat/estimate.ts';
import type { RowKey } from '../../heat/heat-row.ts';

export const WIDTH = 720;
export const MARGIN = 24;

const palette = (colours: Readonly<Record<string, string>>): string =>
  Object.entries(colours)
    .map(([name, colour]) => `--${name}:var(--plugward-${name},${colour});`)
    .join('');

const LIGHT = palette({
  ink: '#17212b',
  muted: '#56636f',
  grid: '#dde3e8',
  paper: '#ffffff',
  steady: '#0a6a73',
  peak: '#b23a17',
  bound: '#7a4f9a',
});
const DARK = palette({
  ink: '#e8edf1',
  muted: '#a3b0bb',
  grid: '#34404a',
  paper: '#161d23',
  steady: '#5cc4cc',
  peak: '#ff9a70',
  bound: '#c9a4e6',
});

/** The shared colours and fonts for every picture under `selector`, in light and dark schemes. */
export const themed = (selector: string, size: string): string =>
  `${selector}{${LIGHT}font:${size} system-ui,"Segoe UI","Helvetica Neue",Arial,sans-serif;font-variant-numeric:tabular-nums}
@media screen and (prefers-color-scheme:dark){${selector}{${DARK}}}`;

export const STYLE = `
${themed('.plugward-heat', '12px')}
.plugward-heat text{fill:var(--ink)}
.plugward-heat .title{font-size:17px;font-weight:650}
.plugward-heat .small{font-size:11px;fill:var(--muted)}
.plugward-heat .head{font-size:11px;fill:var(--muted);letter-spacing:.02em}
.plugward-heat .strong{font-weight:650}
.plugward-heat .paper{fill:var(--paper)}
.plugward-heat .grid{stroke:var(--grid);stroke-width:1}
.plugward-heat .faint{stroke:var(--grid);stroke-width:.5}
.plugward-heat .axis{stroke:var(--muted);stroke-width:1}
.plugward-heat .line{fill:none;stroke-width:2.25;stroke-linejoin:round}
.plugward-heat .steady{stroke:var(--steady)}
.plugward-heat .peak{stroke:var(--peak)}
.plugward-heat .ink{stroke:var(--ink)}
.plugward-heat text.steady{fill:var(--steady);stroke:none}
.plugward-heat text.peak{fill:var(--peak);stroke:none}
.plugward-heat .bound{stroke:var(--bound);stroke-width:1.5;stroke-dasharray:9 4;fill:none}
.plugward-heat text.bound{fill:var(--bound);stroke:none}
.plugward-heat .halo{paint-order:stroke;stroke:var(--paper);stroke-width:4;stroke-linejoin:round}
.plugward-heat .band{fill:var(--ink);opacity:.09}
.plugward-heat .peak-time{fill:var(--peak);opacity:.09}
.plugward-heat .strip{fill:var(--ink);opacity:.16}
.plugward-heat .strip-line{fill:none;stroke:var(--ink);stroke-width:1.25}
.plugward-heat .mark{stroke:var(--ink);stroke-width:1.75;fill:var(--paper)}
.plugward-heat .mark.full{fill:var(--ink);stroke:var(--paper);stroke-width:1.25}
`
  .trim()
  .replaceAll('\n', '');

/** Text for SVG content and attributes. */
export function escape(text: string): string {
  const names: Readonly<Record<string, string>> = {
    '&': 'amp',
    '<': 'lt',
    '>': 'gt',
    '"': 'quot',
    "'": '#39',
  };
  return text.replace(/[&<>"']/g, (sign) => `&${own(names, sign)};`);
}

/** A coordinate: a tenth of a pixel is finer than anyone sees. */
export const px = (value: number): string => String(Math.round(value * 10) / 10);

export function text(
  x: number,
  y: number,
  content: Value,
  kind = '',
  anchor: 'start' | 'middle' | 'end' = 'start',
): Phrase {
  const end = anchor === 'start' ? '' : ` text-anchor="${anchor}"`;
  return deferred(
    (language) =>
      `<text x="${px(x)}" y="${px(y)}"${kind && ` class="${kind}"`}${end}>${inLanguage(content, language, escape)}</text>`,
  );
}

export function segment(x1: number, y1: number, x2: number, y2: number, kind: string): string {
  return `<path class="${kind}" d="M${px(x1)} ${px(y1)}L${px(x2)} ${px(y2)}"/>`;
}

export function path(d: string | null, kind: string, dashes = ''): string {
  return d ? `<path class="${kind}"${dashes && ` stroke-dasharray="${dashes}"`} d="${d}"/>` : '';
}

interface RowLook {
  readonly name: Phrase;
  readonly shape: SymbolType;
  readonly full: boolean;
  /** Dashes of the row's curve, where it has one. */
  readonly dashes: string;
}

export const ROW_STYLES: Readonly<Record<RowKey, RowLook>> = {
  'as-new': { name: say`as new`, shape: symbolCircle, full: false, dashes: '2 3' },
  limit: { name: say`maker's limit`, shape: symbolDiamond, full: false, dashes: '9 4' },
  measured: { name: say`measured`, shape: symbolCircle, full: true, dashes: '' },
  'dirt-10': { name: say`dirt, × 10`, shape: symbolTriangle, full: true, dashes: '9 3 2 3' },
  'dirt-100': { name: say`dirt, × 100`, shape: symbolSquare, full: true, dashes: '' },
  'dirt-1000': { name: say`dirt, × 1000`, shape: symbolStar, full: true, dashes: '' },
};

export function mark(key: RowKey, x: number, y: number): string {
  const { shape, full } = ROW_STYLES[key];
  const d = symbol(shape, full ? 70 : 52)();
  return `<path class="mark${full ? ' full' : ''}" transform="translate(${px(x)} ${px(y)})" d="${d?.replace(/\d+\.\d+/g, (n) => px(Number(n)))}"/>`;
}

/** The mark of a row alone, in the colour of the text around it. */
export function markPicture(key: RowKey): string {
  const { shape, full } = ROW_STYLES[key];
  const d = symbol(shape, full ? 70 : 52)()?.replace(/\d+\.\d+/g, (n) => px(Number(n))) ?? '';
  const fill = full ? 'currentColor' : 'none';
  return `<svg class="rowmark" viewBox="-8 -8 16 16" aria-hidden="true"><path d="${d}" fill="${fill}" stroke="currentColor" stroke-width="1.75"/></svg>`;
}

const sum = (numbers: readonly number[]): number => numbers.reduce((total, one) => total + one, 0);

export interface Column {
  readonly head: Value;
  /** One cell a row. */
  readonly cells: readonly (Value | undefined)[];
}

/**
 * One line per row: mark, name, one cell per column. Empty columns are omitted; a missing cell in another
 * column shows a dash.
 */
export function table(
  top: number,
  rows: readonly RowKey[],
  columns: readonly Column[],
): { readonly svg: Phrase; readonly bottom: number } {
  // Column widths depend on the language; row heights do not.
  const drawn = (language: Language | undefined): { parts: readonly Value[]; bottom: number } =>
    drawTable(
      top,
      rows,
      columns.map(({ head, cells }) => ({
        head: inLanguage(head, language),
        cells: cells.map((cell) => (cell === undefined ? undefined : inLanguage(cell, language))),
      })),
    );
  return {
    svg: deferred((language) => joined(drawn(language).parts).in(language)),
    bottom: drawn(undefined).bottom,
  };
}

function drawTable(
  top: number,
  rows: readonly RowKey[],
  columns: readonly { readonly head: string; readonly cells: readonly (string | undefined)[] }[],
): { readonly parts: readonly Value[]; readonly bottom: number } {
  const filled = columns.filter(({ cells }) => cells.some((cell) => cell !== undefined));
  // Right edges: each column as wide as its longest text, and what is left over shared out.
  const left = 140;
  const apart = filled.map(({ cells }) => cells.map(splitUncertainty));
  const heads = filled.map(({ head }, i) =>
    twoLines(head, Math.max(9, ...apart[i]!.map(({ value }) => value.length))),
  );
  const widths = filled.map(
    (_, i) =>
      6.9 * Math.max(...heads[i]!.map((line) => line.length), ...apart[i]!.map(({ value }) => value.length)),
  );
  const gap = Math.min(46, (WIDTH - MARGIN - left - sum(widths)) / Math.max(1, filled.length));
  const edges = widths.map((_, i) => left + sum(widths.slice(0, i + 1)) + gap * (i + 1));
  const parts: Value[] = [
    text(MARGIN + 24, top, say`connector`, 'head'),
    segment(MARGIN, top + 7, WIDTH - MARGIN, top + 7, 'axis'),
  ];
  heads.forEach((lines, column) => {
    lines.forEach((line, i) =>
      parts.push(text(edges[column]!, top - 13 * (lines.length - 1 - i), line, 'head', 'end')),
    );
  });
  let y = top + 6;
  rows.forEach((key, i) => {
    y += 20;
    const kind = key === 'measured' ? 'strong' : '';
    parts.push(mark(key, MARGIN + 9, y - 4), text(MARGIN + 24, y, ROW_STYLES[key].name, kind));
    apart.forEach((cells, column) => parts.push(text(edges[column]!, y, cells[i]!.value, kind, 'end')));
    if (apart.every((cells) => cells[i]!.uncertainty === undefined)) return;
    // The uncertainty is below its value, so that it does not widen the column.
    y += 15;
    parts.push(text(MARGIN + 24, y, say`± expanded, k = 2`, 'small'));
    apart.forEach((cells, column) => {
      const { uncertainty } = cells[i]!;
      if (uncertainty !== undefined) parts.push(text(edges[column]!, y, uncertainty, 'small', 'end'));
    });
  });
  return { parts, bottom: y + 8 };
}

/** A text of more than `max` letters, broken where the halves are most alike. */
export function twoLines(head: string, max: number): string[] {
  if (head.length <= max || !head.includes(' ')) return [head];
  const words = head.split(' ');
  const halves = words
    .slice(1)
    .map((_, i) => [words.slice(0, i + 1).join(' '), words.slice(i + 1).join(' ')]);
  const longer = (lines: readonly string[]): number => Math.max(...lines.map((line) => line.length));
  return halves.reduce((best, lines) => (longer(lines) < longer(best) ? lines : best));
}

/** "109 ± 5 °C (54…198)" into "109 °C (54…198)" and "± 5 °C". */
function splitUncertainty(cell: string | undefined): { value: string; uncertainty?: string } {
  const [, value, uncertainty, unit, rest] = /^(\S+) ± (\S+) (\S+)(.*)$/.exec(cell ?? '') ?? [];
  return uncertainty === undefined
    ? { value: cell ?? '–' }
    : { value: `${value} ${unit}${rest}`, uncertainty: `± ${uncertainty} ${unit}` };
}

/** Wraps at spaces into lines of about `limit` characters. */
function lines(content: string, limit: number): string[] {
  const result: string[] = [];
  for (const word of content.split(' ')) {
    const last = result.at(-1);
    if (last !== undefined && last.length + word.length < limit)
      result[result.length - 1] = `${last} ${word}`;
    else result.push(word);
  }
  return result;
}

/** Puts title, description, style, paper and the closing notes around `content` that ends at `bottom`. */
export const pictureFrame = (
  title: Phrase,
  subtitle: Phrase,
  content: readonly Value[],
  bottom: number,
  notes: readonly Phrase[],
): Phrase =>
  deferred((language) => {
    const words = (value: Value): string => inLanguage(value, language);
    const small = [...notes, ESTIMATE_NOTE].flatMap((note) => lines(words(note), 118));
    const height = Math.ceil(bottom + 20 + 15 * small.length + 6);
    const named = words(title);
    const short = named.length > 72 ? `${named.slice(0, 71)}…` : named;
    return [
      `<svg xmlns="http://www.w3.org/2000/svg" class="plugward-heat" role="img" width="${WIDTH}" height="${height}" viewBox="0 0 ${WIDTH} ${height}">`,
      `<title>${escape(named)}</title><desc>${escape(words(say`${subtitle}. ${ESTIMATE_NOTE}`))}</desc>`,
      `<style>${STYLE}</style>`,
      `<rect class="paper" width="${WIDTH}" height="${height}"/>`,
      text(MARGIN, 34, short, 'title'),
      text(MARGIN, 54, subtitle, 'small'),
      ...content,
      ...small.map((line, i) => text(MARGIN, bottom + 26 + 15 * i, line, 'small')),
      '</svg>',
    ]
      .map(words)
      .join('');
  });

/** Framed pictures below each other in one; `undefined` of none. */
export function stacked(pictures: readonly Phrase[]): Phrase | undefined {
  if (pictures.length < 2) return pictures[0];
  return deferred((language) => {
    let top = 0;
    const placed = pictures.map((each) => {
      const picture = each.in(language);
      const at = top;
      top += Number(/ height="(\d+)"/.exec(picture)![1]);
      return picture.replace('<svg', `<svg y="${at}"`);
    });
    return `<svg xmlns="http://www.w3.org/2000/svg" width="${WIDTH}" height="${top}" viewBox="0 0 ${WIDTH} ${top}">${placed.join('')}</svg>`;
  });
}
