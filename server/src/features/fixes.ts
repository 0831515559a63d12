import type { Edit } from '../text/span.ts';
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import { Workspace } from '../workspace/workspace.ts';
import { find } from './check.ts';
import type { Settings } from './check.ts';
import { localize } from './in-words.ts';
import { difference, Trial } from './trial.ts';
import type { OfferedFix } from './trial.ts';

/** The fixes for the findings that touch `[start, end]` of a file, best first for each finding. */
export function fixesAt(
  workspace: Workspace,
  uri: string,
  start: number,
  end: number,
  settings: Settings = {},
): OfferedFix[] {
  const found = find(workspace, uri, settings);
  const touched = found.filter(({ diagnosis: { range } }) => range.start <= end && start <= range.end);
  if (touched.length === 0) return [];
  const trial = new Trial(workspace, copyFor(workspace, uri), uri, settings, found);
  return touched.flatMap((one) => trial.offer(one));
}

/** The copies on which fixes were tried out last, one for each workspace. */
const copies = new WeakMap<Workspace, { readonly uri: string; readonly copy: Workspace }>();

/** Longer texts are not kept parsed twice in memory. Unit: UTF-16 code units. */
const longest = 400_000;

/**
 * A scratch copy for trying fixes. Cached, so that moving the cursor to another line needs no reparse or
 * recheck.
 */
function copyFor(workspace: Workspace, uri: string): Workspace {
  if ((workspace.text(uri)?.length ?? 0) > longest) return workspace.fork();
  let kept = copies.get(workspace);
  if (kept?.uri !== uri) copies.set(workspace, (kept = { uri, copy: new Workspace() }));
  kept.copy.mirror(workspace, uri);
  return kept.copy;
}

export interface FixAllOptions {
  /** Also fixes that change the order of work or the bill. */
  readonly unsafe: boolean;
  /** Only findings of this kind. */
  readonly finding?: string;
}

/** Title of the "fix all" action. */
export function fixAllTitle(
  workspace: Workspace,
  uri: string,
  { unsafe, finding }: FixAllOptions,
  settings: Settings,
): string {
  const isPlan = workspace.document(uri)?.kind === 'repair-plan';
  const ofOneKind = (id: string): Phrase =>
    isPlan ? say`Fix all of this kind in the plan (${id})` : say`Fix all of this kind in this file (${id})`;
  const all = isPlan
    ? say`Fix all that has a fix in the plan, adding missing steps and lines`
    : say`Fix all that has a fix in this file, adding missing steps and lines`;
  const safe = say`Fix all that has a fix which changes neither the work nor the bill`;
  return localize(!unsafe ? safe : finding === undefined ? all : ofOneKind(finding), settings);
}

/** What is asked before fixes are applied that are not safe. */
export const fixQuestion = (settings: Settings): string =>
  localize(
    say`This adds to the work or the bill. Look at each change before you apply it; the vehicle maker's procedure decides.`,
    settings,
  );

export interface FixedText {
  readonly text: string;
  readonly edits: readonly Edit[];
  readonly fixed: number;
  /** Whether something is left that a fix mends which is not safe. It takes time to find out. */
  hasMore(): boolean;
}

/** Upper bound on rounds; every round removes one finding or ends the loop. */
const rounds = 2_000;

/**
 * Applies one fix at a time, rechecking after each, until none is left to apply.
 * @returns the new text, and the edits that lead from the old text to it (none when nothing was fixed).
 */
export function fixAll(
  workspace: Workspace,
  uri: string,
  options: FixAllOptions,
  settings: Settings = {},
): FixedText {
  const before = workspace.text(uri) ?? '';
  let fixed = 0;
  // Two copies for all rounds: after the first edit, each reparses only what changes.
  const [mine, copy] = [workspace.fork(), workspace.fork()];
  const next = (unsafe: boolean): OfferedFix | undefined => {
    const found = find(mine, uri, settings);
    const trial = new Trial(mine, copy, uri, settings, found);
    return first(
      found.filter(({ diagnosis }) => options.finding === undefined || diagnosis.finding === options.finding),
      (one) => trial.offer(one, 1, ({ safe, choice }) => !choice && (safe || unsafe))[0],
    );
  };
  for (let round = 0; round < rounds; round++) {
    const fix = next(options.unsafe);
    if (!fix) break;
    for (const one of [mine, copy]) one.edit(uri, fix.edits);
    fixed++;
  }
  const text = mine.text(uri) ?? '';
  return { text, edits: difference(uri, before, text), fixed, hasMore: () => next(true) !== undefined };
}

function first<T, R>(items: readonly T[], find_: (item: T) => R | undefined): R | undefined {
  for (const item of items) {
    const result = find_(item);
    if (result !== undefined) return result;
  }
  return undefined;
}
