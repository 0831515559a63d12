import { previewPage } from '../report/print/preview.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { caution } from './caution.ts';
import { check } from './check.ts';
import type { Settings } from './check.ts';

/** A plan or a procedure as the technician will read it, as a fragment of HTML; undefined for other files. */
export function preview(workspace: Workspace, uri: string, settings: Settings = {}): string | undefined {
  const plan = workspace.plan(uri);
  const kind = plan?.document.kind;
  if (!plan || (kind !== 'repair-plan' && kind !== 'shop-procedure')) return undefined;
  const findings = check(workspace, uri, settings);
  const count = (grade: string): number => findings.filter(({ severity }) => severity === grade).length;
  const { language } = settings;
  return previewPage(plan, { errors: count('error'), warnings: count('warning'), caution, language });
}
