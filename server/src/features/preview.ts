import { say } from '../language/phrase.ts';
import { comparisonPart } from '../report/comparison/page.ts';
import { html } from '../report/print/html.ts';
import { previewPage } from '../report/print/preview.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { caution } from './caution.ts';
import { check } from './check.ts';
import type { Settings } from './check.ts';
import { comparisonWith } from './comparison.ts';
import type { OldVersion } from './comparison.ts';

/** A plan or a procedure as the technician will read it, as a fragment of HTML; undefined for other files. */
/** @param old the version that a plan is compared with */
export function preview(
  workspace: Workspace,
  uri: string,
  settings: Settings = {},
  old?: OldVersion,
): string | undefined {
  const plan = workspace.plan(uri, settings);
  const kind = plan?.document.kind;
  if (!plan || (kind !== 'repair-plan' && kind !== 'shop-procedure')) return undefined;
  const findings = check(workspace, uri, settings);
  const count = (grade: string): number => findings.filter(({ severity }) => severity === grade).length;
  const { language } = settings;
  return previewPage(plan, {
    errors: count('error'),
    warnings: count('warning'),
    caution,
    changes: old && changesSince(old, workspace, uri, settings),
    language,
  });
}

function changesSince(
  old: OldVersion,
  workspace: Workspace,
  uri: string,
  settings: Settings,
): ReturnType<typeof comparisonPart> {
  const comparison = comparisonWith(old, workspace, uri, settings);
  if (comparison) return comparisonPart(comparison, old.name);
  return {
    part: html`<section class="since">
      <h2>${say`Changed since ${old.name}`}</h2>
      <p>${say`The text of the plan is damaged, so it cannot be compared; see its findings.`}</p>
    </section>`,
    steps: new Set(),
  };
}
