/** The charts of one connector in a row, for a print or the preview, whose text says the figures. */
import { inLanguage, deferred, say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import type { HeatEstimate } from '../../heat/estimate.ts';
import { cyclePanels, cycleTemperatures } from './cycle-picture.ts';
import { heatChart } from './heat-chart.ts';
import { STYLE, escape } from './picture-parts.ts';
import { steadyPanels, steadyTemperatures } from './temperature-picture.ts';
import { temperaturePanels } from './temperature-panels.ts';
import type { Panel } from './temperature-panels.ts';

/** Side by side on paper, below each other where there is no room for that. */
export type ChartLayout = 'wide' | 'narrow';

const layouts = {
  wide: { width: 720, panelHeight: 106 },
  narrow: { width: 340, panelHeight: 130 },
};

const ABOVE = 22;
const BELOW = 24;

/** `undefined` when there is nothing to draw. */
export function sheetCharts(
  estimate: HeatEstimate,
  connector: string,
  layout: ChartLayout,
): Phrase | undefined {
  if (estimate.rows.length === 0) return undefined;
  const steady = steadyPanels(estimate);
  const panels = steady.length > 0 ? steady : cyclePanels(estimate);
  const { width, panelHeight } = layouts[layout];
  const wide = layout === 'wide';
  const pitch = ABOVE + panelHeight + BELOW;
  const row = (i: number): { top: number; bottom: number } => ({
    top: i * pitch + ABOVE,
    bottom: i * pitch + ABOVE + panelHeight,
  });
  const share = wide && panels.length > 0;
  const heat = heatChart(estimate, { left: 56, right: share ? 270 : width - 10, ...row(0) }, true);
  // On paper the temperatures stand beside the heat, on a narrow screen below it.
  const [from, to] = wide ? [heat ? 322 : 56, width - 8] : [56, width - 10];
  const each = (to - from - 22 * (panels.length - 1)) / panels.length;
  const placed = panels.map((content, i): Panel => {
    const left = from + i * (each + 22);
    return wide
      ? { ...content, left, right: left + each, labelled: i === 0, ...row(0) }
      : { ...content, left: from, right: to, labelled: true, ...row(i + (heat ? 1 : 0)) };
  });
  if (!heat && placed.length === 0) return undefined;
  const rows = wide ? 1 : (heat ? 1 : 0) + placed.length;
  const height = rows * pitch;
  const temperatures = steady.length > 0 ? steadyTemperatures : cycleTemperatures;
  const parts = [...(heat ?? []), ...temperaturePanels(estimate, placed, temperatures)];
  return deferred((language) =>
    [
      `<svg xmlns="http://www.w3.org/2000/svg" class="plugward-heat" role="img" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}">`,
      `<title>${escape(say`Heat and temperature of ${connector}`.in(language))}</title><style>${STYLE}</style>`,
      ...parts.map((part) => inLanguage(part, language)),
      '</svg>',
    ].join(''),
  );
}
