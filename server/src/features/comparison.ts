import { compare } from '../compare/compare.ts';
import type { Comparison, Version } from '../compare/compare.ts';
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import { Workspace } from '../workspace/workspace.ts';
import { check } from './check.ts';
import type { Settings } from './check.ts';
import { localize } from './in-words.ts';

/**
 * A version of a plan with its findings, or why it cannot be compared: steps that are lost in a damaged text would look
 * like steps removed.
 */
export function versionIn(
  workspace: Workspace,
  uri: string,
  settings: Settings,
): { readonly version: Version } | { readonly refused: Phrase } {
  const plan = workspace.plan(uri);
  if (plan?.document.kind !== 'repair-plan') return { refused: say`it is no repair plan` };
  const [problem] = plan.document.problems.filter(
    ({ kind, contained }) => kind !== 'key-twice' && !contained,
  );
  if (problem || !plan.root) {
    return { refused: say`its text is damaged; \`plugward check\` says where` };
  }
  // Whatever it is, taken for a plan without steps it would make all steps of the other one new.
  if (!plan.section('operations')) return { refused: say`it has no list of steps under \`operations\`` };
  return { version: { plan, findings: check(workspace, uri, settings), text: (one) => workspace.text(one) } };
}

/** An earlier version of a plan, or another file, with the texts that it used; nothing is shared with what is open. */
export interface OldVersion {
  /** As a person calls it, such as a commit. */
  readonly name: string;
  readonly uri: string;
  readonly workspace: Workspace;
}

export interface OldTexts {
  readonly name: string;
  readonly uri: string;
  /** Texts by URI; `null` for a file that was not there. */
  readonly texts: Readonly<Record<string, string | null>>;
}

/** Reads an old version from its texts: the version, files whose texts are needed too, or why it cannot be compared. */
export function oldVersion(
  { name, uri, texts }: OldTexts,
  settings: Settings,
): { readonly old: OldVersion } | { readonly wants: readonly string[] } | { readonly refused: string } {
  const workspace = new Workspace();
  for (const [one, text] of Object.entries(texts)) {
    if (text === null) workspace.markAbsent(one);
    else workspace.set(one, text);
  }
  const wants = workspace.missingFiles();
  if (wants.length > 0) return { wants };
  const read = versionIn(workspace, uri, settings);
  return 'refused' in read
    ? { refused: localize(read.refused, settings) }
    : { old: { name, uri, workspace } };
}

/** What changed since an old version; undefined while the text as it stands cannot be compared. */
export function comparisonWith(
  old: OldVersion,
  workspace: Workspace,
  uri: string,
  settings: Settings,
): Comparison | undefined {
  const [before, now] = [versionIn(old.workspace, old.uri, settings), versionIn(workspace, uri, settings)];
  return 'version' in before && 'version' in now ? compare(before.version, now.version) : undefined;
}
