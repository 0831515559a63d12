import type { Range } from '../../../server/src/text/span.ts';
import { applyEdits } from '../../../server/src/text/span.ts';
import { caution } from '../../../server/src/features/caution.ts';
import { check } from './check.ts';
import { complete } from '../../../server/src/features/completion.ts';
import { fixAll, fixesAt } from '../../../server/src/features/fixes.ts';
import { format } from '../../../server/src/features/format.ts';
import { hints } from '../../../server/src/features/hints.ts';
import { hover } from '../../../server/src/features/hover.ts';
import { lenses } from '../../../server/src/features/lenses.ts';
import { links } from '../../../server/src/features/links.ts';
import { definitionsAt, highlightsAt, occurrencesAt } from '../../../server/src/features/navigation.ts';
import { outline, searchSymbols } from '../../../server/src/features/outline.ts';
import type { OutlineItem } from '../../../server/src/features/outline.ts';
import { preview } from '../../../server/src/features/preview.ts';
import { folds, selectionsAt } from '../../../server/src/features/ranges.ts';
import { prepareRename, rename } from '../../../server/src/features/rename.ts';
import { tokensIn } from '../../../server/src/features/tokens.ts';
import { annotations } from '../../../server/src/report/listing/annotations.ts';
import { humanReport } from '../../../server/src/report/listing/human.ts';
import { jsonReport } from '../../../server/src/report/listing/json.ts';
import { sarifReport } from '../../../server/src/report/listing/sarif.ts';
import { estimateCsv, estimateJson } from '../../../server/src/report/print/estimate-data.ts';
import { estimate } from '../../../server/src/report/print/estimate.ts';
import { folderReview } from '../../../server/src/report/print/folder-review.ts';
import { jobCard } from '../../../server/src/report/print/job-card.ts';
import { review } from '../../../server/src/report/print/review.ts';
import type { Workspace } from '../../../server/src/workspace/workspace.ts';
import { faultsOfCsv, faultsOfHtml, faultsOfMarkdown, faultsOfTerminal } from '../outputs.ts';
import type { Random } from './random.ts';

const today = '2027-02-10';
const settings = { today };

/** How much is asked about a text: what every keystroke asks; also what stands at a place; everything there is. */
export type Effort = 'check' | 'places' | 'all';

/** @throws Error on the first answer that is wrong in itself; whatever the code under test throws comes through. */
export function ask(workspace: Workspace, uri: string, random: Random, effort: Effort): void {
  const text = workspace.text(uri)!;
  const inside = (what: string, range: Range): void => {
    const length = workspace.text(range.uri)?.length;
    if (length === undefined || !(range.start >= 0 && range.start <= range.end && range.end <= length))
      throw new Error(`${what}: ${range.start}-${range.end} lies outside ${range.uri} (${length})`);
  };
  const here = (what: string, start: number, end = start): void => inside(what, { uri, start, end });
  const clean = (what: string, faults: readonly string[]): void => {
    if (faults.length > 0) throw new Error(`${what}: ${faults.join('; ')}`);
  };

  const findings = check(workspace, uri, settings);
  for (const { finding, range, trace } of findings) {
    inside(finding, range);
    for (const step of trace) inside(`${finding}, trace`, step.range);
  }
  if (effort === 'check') return;

  for (let n = 0; n < 3; n++) {
    const offset = random.below(text.length + 1);
    const shown = hover(workspace, uri, offset);
    if (shown) {
      inside('hover', shown.range);
      clean('hover', faultsOfMarkdown(shown.markdown));
    }
    for (const { edit, documentation } of complete(workspace, uri, offset, { today }).items) {
      inside('completion', edit);
      clean('completion', faultsOfMarkdown(documentation?.() ?? ''));
    }
    definitionsAt(workspace, uri, offset).forEach((range) => inside('definition', range));
    occurrencesAt(workspace, uri, offset)?.references.forEach((range) => inside('reference', range));
    highlightsAt(workspace, uri, offset).forEach(({ range }) => inside('highlight', range));
    selectionsAt(workspace, uri, offset).forEach((range) => inside('selection', range));
    const renamable = prepareRename(workspace, uri, offset);
    if ('range' in renamable) inside('renaming', renamable.range);
    const renamed = rename(workspace, uri, offset, 'a-new-name');
    if ('edits' in renamed) applyEdits(text, renamed.edits, uri);
  }
  if (effort === 'places') return;

  const start = random.below(text.length + 1);
  for (const { edits, title } of fixesAt(
    workspace,
    uri,
    start,
    Math.min(text.length, start + 200),
    settings,
  )) {
    edits.forEach((edit) => inside(`fix '${title}'`, edit));
    applyEdits(text, edits, uri);
  }
  const fixed = fixAll(workspace.fork(), uri, { unsafe: false }, settings);
  if (applyEdits(text, fixed.edits, uri) !== fixed.text) throw new Error('fixing all: edits and text differ');
  applyEdits(text, format(workspace, uri), uri);
  const visit = (items: readonly OutlineItem[]): void => {
    for (const { range, selection, children } of items) {
      inside('outline', range);
      inside('outline', selection);
      visit(children);
    }
  };
  visit(outline(workspace, uri));
  searchSymbols(workspace, 'o1').forEach(({ selection }) => inside('symbol', selection));
  const lines = workspace.document(uri)?.lines.lineCount ?? 0;
  for (const { from, to } of folds(workspace, uri))
    if (!(from >= 0 && from <= to && to < lines)) throw new Error(`fold ${from}-${to} of ${lines} lines`);
  tokensIn(workspace, uri).forEach((token) => here('token', token.start, token.end));
  links(workspace, uri).forEach(({ range }) => inside('link', range));
  lenses(workspace, uri, settings).forEach(({ range }) => inside('lens', range));
  const all = { order: true, duration: true, heat: true };
  hints(workspace, uri, 0, text.length, all).forEach(({ offset }) => here('hint', offset));

  const name = (file: string): string => file.slice(file.lastIndexOf('/') + 1);
  const listing = { files: [{ uri, findings }], unread: [], sources: workspace };
  const paint = (_: string, shown: string): string => shown;
  clean(
    'terminal',
    faultsOfTerminal(humanReport(listing, { width: 80, paint, name, caution, title: () => undefined })),
  );
  const commands = annotations(listing, { name }).trimEnd().split('\n');
  if (findings.length > 0 && commands.length !== findings.length)
    throw new Error(`annotations: ${commands.length} lines for ${findings.length} findings`);
  JSON.parse(jsonReport(listing, { version: '0', name }));
  JSON.parse(sarifReport(listing, { version: '0', rules: [], root: 'file:///plans/', exitCode: 0 }));

  const shown = preview(workspace, uri, settings);
  if (shown !== undefined) clean('preview', faultsOfHtml(shown));
  const plan = workspace.plan(uri);
  if (plan?.document.kind !== 'repair-plan') return;
  const print = { today, caution };
  const reviewing = { ...print, sources: workspace, name };
  clean('job card', faultsOfHtml(jobCard(plan, { ...print, errors: 1 })));
  clean('estimate', faultsOfHtml(estimate(plan, print)));
  clean('review', faultsOfHtml(review({ plan, findings }, reviewing)));
  const folder = { name: 'plans', files: [{ plan, findings }], unread: [] };
  clean('review of a folder', faultsOfHtml(folderReview(folder, reviewing)));
  clean('CSV', faultsOfCsv(estimateCsv(plan)));
  JSON.parse(estimateJson(plan, { version: '0' }));
}
