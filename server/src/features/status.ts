import { joined, say } from '../language/phrase.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { find } from './check.ts';
import type { Settings } from './check.ts';
import { inWords } from './in-words.ts';
import { findingsText, moneyOf } from './lenses.ts';

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
  const count = findingsText(findings.length);
  const money = plan.document.kind === 'repair-plan' ? moneyOf(plan) : undefined;
  const detail = [
    grave > 0 ? say`${count}, ${grave} grave.` : say`${count}.`,
    ...(money ? [say`${money.title}.`] : []),
  ];
  return {
    text: inWords(joined(money ? [count, money.short] : [count], ' · '), settings),
    detail: inWords(joined(detail, '\n'), settings),
    grave: grave > 0,
  };
}

/** What stands in the place of findings that are left out. */
export const leftOut = (more: number, shown: number, settings: Settings): string =>
  inWords(
    say`${more} more findings are not shown here. They appear as the first ${shown} are dealt with; the command line lists all of them.`,
    settings,
  );
