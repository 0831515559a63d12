import type { Workspace } from '../workspace/workspace.ts';
import { find } from './check.ts';
import type { Settings } from './check.ts';
import { moneyOf } from './lenses.ts';

/** What a file comes to, in a few words and in a sentence. */
export interface Status {
  readonly text: string;
  readonly detail: string;
  readonly grave: boolean;
}

/** How many findings a file has and, for a plan with a rate sheet, the money at stake in its missing lines. */
export function status(workspace: Workspace, uri: string, settings: Settings = {}): Status | undefined {
  const plan = workspace.plan(uri);
  if (!plan) return undefined;
  const findings = find(workspace, uri, settings);
  const grave = findings.filter(({ severity }) => severity === 'error').length;
  const count =
    findings.length === 1 ? '1 finding' : `${findings.length === 0 ? 'no' : findings.length} findings`;
  const money = plan.document.kind === 'repair-plan' ? moneyOf(plan) : undefined;
  const graveText = grave > 0 ? `, ${grave} grave` : '';
  return {
    text: [count, money?.short].filter(Boolean).join(' · '),
    detail: [`${count}${graveText}.`, money && `${money.title}.`].filter(Boolean).join('\n'),
    grave: grave > 0,
  };
}
