import { billOf } from '../../costing/bill.ts';
import type { MapNode } from '../../document/node.ts';
import { languageOf } from '../../language/language.ts';
import { say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import type { Plan } from '../../plan/plan.ts';
import { heatSection } from './heat-section.ts';
import { html, markup } from './html.ts';
import type { Content } from './html.ts';
import { bothLayouts } from './layouts.ts';
import { steps, releaseBlockers } from './job-card.ts';
import { errorsText, warningsText } from './review.ts';
import { houseStyle } from './style.ts';
import { tags } from './tags.ts';
import { typeset } from './typeset.ts';
import { timelinePicture } from './timeline.ts';
import { headOf, linesText, moneyText } from './words.ts';

/**
 * The prints' style in the colours of the editor, whose style sheet variables the page finds around it. The theme's colours for a
 * chart are drawn towards the ink, since words are written in them (tests/editor/contrast).
 */
const previewStyle = `
:root{color-scheme:light dark;--ink:var(--vscode-editor-foreground);--muted:var(--vscode-descriptionForeground,var(--vscode-editor-foreground));--paper:var(--vscode-editor-background);--hair:var(--vscode-widget-border,var(--vscode-editorIndentGuide-background1,#8888));--faint:color-mix(in srgb,var(--ink) 18%,transparent);
--plugward-ink:var(--ink);--plugward-muted:var(--muted);--plugward-grid:var(--faint);--plugward-paper:var(--paper);--plugward-peak:color-mix(in srgb,var(--vscode-editorWarning-foreground,#b23a17) 55%,var(--ink));--plugward-steady:color-mix(in srgb,var(--vscode-charts-blue,#0a6a73) 55%,var(--ink));--plugward-bound:var(--vscode-charts-purple,#7a4f9a)}
html,body{background:var(--paper)}
body{margin:0;padding:10px 14px 24px;max-width:72em;font-family:var(--vscode-font-family);font-size:var(--vscode-font-size);line-height:1.4;overflow-wrap:break-word}
h1{font-size:1.5em;margin:0}h2{font-size:1.15em}.label,dt,th,.note,.beside{font-size:.86em}
.summary{margin:2px 0 12px}
tr[data-from]{cursor:pointer}
tr.changed>td.no{box-shadow:inset 3px 0 var(--vscode-editorGutter-modifiedBackground,#2a7de1);padding-left:6px}
tr.lit>td{background:var(--vscode-editor-lineHighlightBackground,color-mix(in srgb,var(--ink) 8%,transparent));box-shadow:inset 0 1px var(--faint)}
tr.lit>td:first-child{box-shadow:inset 3px 0 var(--vscode-focusBorder,var(--ink))}
[data-from]:focus-visible{outline:1px solid var(--vscode-focusBorder,var(--ink));outline-offset:1px}
.newpage{break-before:auto}article.tag th{font-size:.72em;letter-spacing:-.02em}
@media(max-width:900px){.tags{grid-template-columns:minmax(0,1fr)}.steps .sig{display:none}.steps{overflow-wrap:anywhere}}
.steps{table-layout:auto}.steps .who{white-space:nowrap}.steps .who,.steps .time,.steps .sig{width:auto}
.steps .no{width:1px}
`.replaceAll('\n', '');

export interface PreviewOptions {
  readonly errors: number;
  readonly warnings: number;
  readonly caution: Value;
  /** What changed since another version, with the steps to be marked; without it, no such part. */
  readonly changes?: { readonly part: Content; readonly steps: ReadonlySet<string> } | undefined;
  /** Tag of the language to say it in; English when absent. */
  readonly language?: string | undefined;
}

/**
 * A plan or a procedure as the technician will read it, with its time line, for a panel beside the text: a fragment of
 * HTML that takes its colours from the editor. Its parts lead to their places in the text (`data-from`, `data-spans`).
 */
export function previewPage(plan: Plan, options: PreviewOptions): string {
  const { errors, warnings, caution, changes, language } = options;
  const isPlan = plan.document.kind === 'repair-plan';
  const { number, title } = isPlan ? headOf(plan) : procedureHead(plan);
  const picture = bothLayouts((layout) => timelinePicture(plan, { layout }));
  const spoken = languageOf(language);
  const page = html`<style>
      ${markup(houseStyle + previewStyle)}
    </style>
    <header>
      <h1>${number}</h1>
      <p>${title}</p>
      <p class="summary note">${summary(plan, errors, warnings)}</p>
    </header>
    ${isPlan && releaseBlockers(plan, errors)}${changes?.part}${picture}${steps(plan, changes?.steps)}${isPlan && tags(plan, number)}${isPlan && heatSection(plan)}
    <div class="caution" role="note"><p>${caution}</p></div>`;
  return typeset(page.in(spoken), spoken);
}

function procedureHead({ document }: Plan): { number: string; title: string } {
  const root = document.root as MapNode<{ procedure?: string; title?: string }> | undefined;
  return { number: root?.get('procedure')?.value ?? '', title: root?.get('title')?.value ?? '' };
}

function summary(plan: Plan, errors: number, warnings: number): Content {
  const findings =
    errors + warnings === 0
      ? say`No errors, no warnings`
      : say`${errorsText(errors)}, ${warningsText(warnings)}`;
  const { sheet, gross, stake } = billOf(plan);
  if (plan.document.kind !== 'repair-plan' || sheet.decimals === undefined) return findings;
  const total: Phrase = say`Total ${moneyText(gross.amount, sheet)} ${sheet.currency ?? ''}`;
  const priced = gross.unpricedLines > 0 ? say`${total}, without ${linesText(gross.unpricedLines)}` : total;
  const money = stake ? say`${priced}; ${moneyText(stake.amount, sheet)} not yet billed` : priced;
  return say`${findings}. ${money}.`;
}
