import { joined, say } from '../language/phrase.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { find } from './check.ts';
import { isFullyChecked } from './prerequisites.ts';
import type { Settings } from './check.ts';
import { localize } from './in-words.ts';
import { findingsText, moneyOf, notAllChecked } from './lenses.ts';

/** Summary of a file, short and as a sentence. */
export interface Status {
  readonly text: string;
  readonly detail: string;
  readonly grave: boolean;
}

/** How many findings a file has and, for a plan with a rate sheet, the money at stake in its missing lines. */
export function status(workspace: Workspace, uri: string, settings: Settings = {}): Status | undefined {
  // Asked first: it answers whatever fails.
  const findings = find(workspace, uri, settings);
  const plan = workspace.plan(uri);
  if (!plan) return undefined;
  const grave = findings.filter(({ severity }) => severity === 'error').length;
  const checked = isFullyChecked(plan);
  const counted = findingsText(findings.length);
  const count = checked ? counted : notAllChecked(findings.length, counted);
  const money = plan.document.kind === 'repair-plan' ? moneyOf(plan) : undefined;
  const detail = [
    grave > 0 ? say`${counted}, ${grave} serious.` : say`${counted}.`,
    ...(checked
      ? []
      : [
          say`A part of this text or of a file it uses is missing or cannot be read. What depends on it was not checked.`,
        ]),
    ...(money ? [say`${money.title}.`] : []),
  ];
  return {
    text: localize(joined(money ? [count, money.short] : [count], ' · '), settings),
    detail: localize(joined(detail, '\n'), settings),
    grave: grave > 0 || !checked,
  };
}

/** The status of a file about which nothing is known, because a fault of Plugward's own came between. */
export function failedStatus(settings: Settings = {}): Status {
  return {
    text: localize(say`check failed`, settings),
    detail: localize(faultOfOurs, settings),
    grave: true,
  };
}

/** The status of a file whose text could not be read in. */
export const failedMessage = (settings: Settings = {}): string => localize(faultOfOurs, settings);

const faultOfOurs = say`Plugward failed on this file, so nothing is said about it. Check it by hand, and please report what the output panel "Plugward" says.`;

/** The message shown instead of omitted findings. */
export const leftOut = (more: number, shown: number, settings: Settings): string =>
  localize(
    say`${more} more findings are not shown. They appear as the first ${shown} are resolved; the command line lists all of them.`,
    settings,
  );

/** What a person is told when plans of a workspace are not read. */
export const unreadMessage = (count: number, settings: Settings): string =>
  localize(
    say`This workspace holds more plans than Plugward keeps at a time: ${count} are not read until they are opened. Open a smaller folder, or use \`plugward check\`, which reads them all.`,
    settings,
  );

/** Why a name of a shared file is not changed while plans are not read. */
export const notRenamed = (count: number, settings: Settings): string =>
  localize(
    say`Plans here that are not read (${count}) would keep the old name. Open a smaller folder and rename it there.`,
    settings,
  );

/** What a person is told when paths in plans that are not read do not follow a renamed file. */
export const pathsNotFollowed = (count: number, settings: Settings): string =>
  localize(
    say`Paths in plans that are not read (${count}) do not follow the renamed file. Open a smaller folder and rename it there, or correct their \`uses:\` lines.`,
    settings,
  );
