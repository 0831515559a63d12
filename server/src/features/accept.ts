import { say } from '../language/phrase.ts';
import { findingById } from '../findings/registry.ts';
import { addLine } from '../findings/support/mending.ts';
import type { Prerequisite } from '../findings/finding.ts';
import type { Edit } from '../text/span.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { find } from './check.ts';
import type { Diagnosis, FoundFinding, Settings } from './check.ts';
import { localize } from './in-words.ts';

/** An acceptance to be written. It holds only once a person has filled in reason, name and day. */
export interface OfferedAcceptance {
  readonly title: string;
  readonly diagnosis: Diagnosis;
  /** With places to fill in, written as in TextMate snippets. */
  readonly edit: Edit;
}

/** A text that cannot be read is corrected, not accepted; findings about acceptances have fixes of their own. */
const neverAccepted: ReadonlySet<Prerequisite> = new Set(['text', 'names', 'findings']);

/** The acceptances that could be written for the findings of a plan that touch `[start, end]`. */
export function acceptancesAt(
  workspace: Workspace,
  uri: string,
  start: number,
  end: number,
  settings: Settings = {},
): OfferedAcceptance[] {
  const plan = workspace.plan(uri, settings);
  if (plan?.document.kind !== 'repair-plan') return [];
  const found = find(workspace, uri, settings).filter(({ failed }) => !failed);
  const offered = new Map<string, OfferedAcceptance>();
  for (const { diagnosis } of found) {
    const { finding, range } = diagnosis;
    if (range.start > end || range.end < start) continue;
    if (neverAccepted.has(findingById.get(finding)?.ground ?? 'text')) continue;
    const at = placeOf(diagnosis, found);
    if (at === undefined || offered.has(`${finding} ${at}`)) continue;
    const [edit] = addLine(plan, 'accepted', [
      ['finding', finding],
      ...(at === '' ? [] : ([['at', at]] as const)),
      ['reason', '"$1"'],
      ['by', '"$2"'],
      ['until', '$3'],
    ]);
    const title = at === '' ? say`Accept ${finding}…` : say`Accept ${finding} at ${at}…`;
    if (edit) offered.set(`${finding} ${at}`, { title: localize(title, settings), diagnosis, edit });
  }
  return [...offered.values()];
}

/**
 * The step or connector to accept it at, whichever covers fewer findings; empty for a finding about the whole plan.
 * Undefined where an acceptance would also cover what has a place of its own.
 */
function placeOf(
  { finding, operation, connector }: Diagnosis,
  found: readonly FoundFinding[],
): string | undefined {
  const same = found
    .filter(({ diagnosis }) => diagnosis.finding === finding)
    .map(({ diagnosis }) => diagnosis);
  const covered = (at: string): number =>
    same.filter((other) => other.operation === at || other.connector === at).length;
  const [first, second] = [operation, connector].filter((at) => at !== undefined);
  if (first !== undefined) return second !== undefined && covered(second) < covered(first) ? second : first;
  return same.some((other) => other.operation !== undefined || other.connector !== undefined)
    ? undefined
    : '';
}
