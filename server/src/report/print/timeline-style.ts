import { themed } from '../pictures/picture-parts.ts';

/** The style sheet of the timeline. */
export const timelineStyle = `
${themed('.plugward-timeline', '11.5px')}
.plugward-timeline text{fill:var(--ink)}
.plugward-timeline .small{font-size:10.5px;fill:var(--muted)}
.plugward-timeline .tag{font-size:10.5px}
.plugward-timeline .strong{font-weight:650}
.plugward-timeline .alarm{fill:var(--peak);font-weight:700}
.plugward-timeline .halo{paint-order:stroke;stroke:var(--paper);stroke-width:3.5;stroke-linejoin:round}
.plugward-timeline .paper{fill:var(--paper)}
.plugward-timeline .grid{stroke:var(--grid);stroke-width:1;fill:none}
.plugward-timeline .rule{stroke:var(--muted);stroke-width:1;fill:none}
.plugward-timeline .band{fill:var(--ink);opacity:.075}
.plugward-timeline .bandedge{stroke:var(--muted);stroke-width:.6;stroke-dasharray:1 2;fill:none}
.plugward-timeline .work{fill:var(--paper);stroke:var(--ink);stroke-width:1}
.plugward-timeline .critical{fill:var(--ink);stroke:var(--paper);stroke-width:1}
.plugward-timeline .raised{stroke:var(--ink);stroke-width:1}
.plugward-timeline .slack{stroke:var(--muted);stroke-width:1;stroke-dasharray:2 2;fill:none}
.plugward-timeline .mated,.plugward-timeline .line{stroke:var(--ink);stroke-width:1.5;fill:none}
.plugward-timeline .open{fill:var(--paper);stroke:var(--ink);stroke-width:1.25}
.plugward-timeline .covered,.plugward-timeline .exposed{stroke:var(--ink);stroke-width:1.25}
.plugward-timeline .exposed{stroke:var(--peak);stroke-width:2}
.plugward-timeline .closed{fill:var(--paper);stroke:var(--ink);stroke-width:1.25;stroke-dasharray:3 2}
.plugward-timeline .proven{fill:var(--ink)}
.plugward-timeline .sign{fill:var(--paper);stroke:var(--peak);stroke-width:1.75;stroke-linejoin:round}
.plugward-timeline .stroke{stroke:var(--peak);stroke-width:1.5;fill:none}
.plugward-timeline .hatch{stroke:var(--ink);stroke-width:1;opacity:.45}
.plugward-timeline .cross{stroke:var(--peak);stroke-width:1.25}
.plugward-timeline [data-from]{cursor:pointer}
.plugward-timeline .lit .rest,.plugward-timeline .lit.rest{fill:var(--ink);opacity:.12}
.plugward-timeline .rest{fill:transparent}
`
  .trim()
  .replaceAll('\n', '');
