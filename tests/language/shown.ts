import { caution } from '../../server/src/features/caution.ts';
import { check } from '../../server/src/features/check.ts';
import { complete } from '../../server/src/features/completion.ts';
import { heatTable } from '../../server/src/features/heat-table.ts';
import { hints } from '../../server/src/features/hints.ts';
import { hover } from '../../server/src/features/hover.ts';
import { lenses } from '../../server/src/features/lenses.ts';
import { preview } from '../../server/src/features/preview.ts';
import { status } from '../../server/src/features/status.ts';
import { localize } from '../../server/src/features/in-words.ts';
import { estimate } from '../../server/src/report/print/estimate.ts';
import { folderReview } from '../../server/src/report/print/folder-review.ts';
import { jobCard } from '../../server/src/report/print/job-card.ts';
import { review } from '../../server/src/report/print/review.ts';
import type { Workspace } from '../../server/src/workspace/workspace.ts';

/** The texts of a page of HTML that a person sees or hears, one an element. */
function textsOf(page: string): string[] {
  const body = page.replaceAll(/<style.*?<\/style>/gs, '');
  const spoken = [...body.matchAll(/ (?:alt|aria-label)="([^"]*)"/g)].map(([, text]) => text!);
  return [...spoken, ...body.split(/<[^>]*>/)].map((text) =>
    text.replaceAll('&#39;', "'").replaceAll('&quot;', '"').replaceAll('&amp;', '&').trim(),
  );
}

/** Markdown without its examples of the plan language. */
const unblocked = (markdown: string): string => markdown.replaceAll(/```.*?```/gs, '');

/** Everything that is shown about one file: prints, preview, hovers, completions, lenses, hints, status. */
export function shown(workspace: Workspace, uri: string, language: string): Map<string, readonly string[]> {
  const settings = { today: '2027-02-10', language };
  const found = new Map<string, readonly string[]>();
  const plan = workspace.plan(uri)!;
  const text = workspace.text(uri)!;
  if (plan.document.kind === 'repair-plan') {
    const findings = check(workspace, uri, settings);
    const options = { today: settings.today, caution, language };
    const reviewing = { ...options, sources: workspace, name: () => 'file' };
    const file = { plan, findings };
    found.set('job card', textsOf(jobCard(plan, { ...options, errors: 2 })));
    found.set('estimate', textsOf(estimate(plan, options)));
    found.set('review', textsOf(review(file, reviewing)));
    found.set('folder', textsOf(folderReview({ name: 'plans', files: [file], unread: [] }, reviewing)));
    const warm = [...plan.scope.connectors.values()].filter(({ current }) => current.steady);
    found.set(
      'heat',
      warm.flatMap((connector) => localize(heatTable(plan, connector, 'full'), settings).split(/\n|\|/)),
    );
  }
  found.set('preview', textsOf(preview(workspace, uri, settings) ?? ''));
  const { text: state = '', detail = '' } = status(workspace, uri, settings) ?? {};
  found.set('status', [state, ...detail.split('\n')]);
  const titles = lenses(workspace, uri, settings).map(({ title }) => title);
  found.set('lenses', titles);
  const wanted = { order: true, duration: true, heat: true };
  const marks = hints(workspace, uri, 0, text.length, wanted, settings);
  found.set(
    'hints',
    marks.flatMap(({ label, tooltip }) => [label, tooltip]),
  );
  const words = [...text.matchAll(/[\w-]+/g)].map(({ index }) => index);
  found.set('hovers', [
    ...new Set(
      words.flatMap((at) => unblocked(hover(workspace, uri, at, settings)?.markdown ?? '').split('\n')),
    ),
  ]);
  const lines = [...text.matchAll(/^ *- |: |\n/gm)].map(({ index, 0: sign }) => index + sign.length);
  found.set('completions', [
    ...new Set(
      lines.flatMap((at) =>
        complete(workspace, uri, at, settings).items.flatMap(({ detail: what, documentation }) => [
          what ?? '',
          ...unblocked(documentation?.() ?? '').split('\n'),
        ]),
      ),
    ),
  ]);
  return found;
}
