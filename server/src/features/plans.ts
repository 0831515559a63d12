import { byCodeUnits } from '../base/collections.ts';
import { andList, joined, say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import type { Plan } from '../plan/plan.ts';
import { reasonsNotReleased } from '../report/print/job-card.ts';
import { headOf, plural, roleTitle } from '../report/print/words.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { find } from './check.ts';
import type { Settings } from './check.ts';
import { localize } from './in-words.ts';
import { findingsText, moneyOf, notAllChecked } from './lenses.ts';
import { fileName } from '../base/file-name.ts';
import { isFullyChecked } from './prerequisites.ts';

/** A plan as it stands among others. */
export interface PlanSummary {
  readonly uri: string;
  /** Its number, or its file's name where it has none. */
  readonly name: string;
  /** Its findings, the money at stake, whether it is released, and its title, in few words. */
  readonly detail: string;
  /** The same in sentences, with the reasons. */
  readonly tooltip: string;
  readonly errors: number;
  readonly warnings: number;
  readonly information: number;
  /** Something of it, or of a file it uses, could not be read: its counts are not all. */
  readonly isPartial: boolean;
}

/** What a list of plans says of one; undefined for a file of another kind. */
export function planSummary(
  workspace: Workspace,
  uri: string,
  settings: Settings = {},
): PlanSummary | undefined {
  const found = find(workspace, uri, settings);
  const plan = workspace.plan(uri);
  if (plan?.document.kind !== 'repair-plan') return undefined;
  const count = (grade: string): number => found.filter(({ severity }) => severity === grade).length;
  const [errors, warnings, information] = [count('error'), count('warning'), count('information')];
  const isPartial = !isFullyChecked(plan);
  const total = findingsText(found.length);
  const counted = isPartial ? notAllChecked(found.length, total) : total;
  const serious = plural(errors, say`1 serious`, say`${errors} serious`);
  const money = moneyOf(plan);
  const reasons = reasonsNotReleased(plan, errors);
  const state = reasons.length > 0 ? say`not released for work` : signedText(plan);
  const { number, title } = headOf(plan);
  const file = fileName(uri);
  return {
    uri,
    name: number === '' ? file : number,
    detail: localize(
      joined(
        [
          ...(errors > 0 ? [serious] : []),
          counted,
          ...(money ? [money.short] : []),
          state,
          ...(title === '' ? [] : [title]),
        ],
        ' · ',
      ),
      settings,
    ),
    tooltip: localize(
      joined(
        [
          [number, title, file].filter((part) => part !== '').join(' · '),
          say`${counted}: ${serious}, ${plural(warnings, say`1 warning`, say`${warnings} warnings`)}, ${plural(information, say`1 note`, say`${information} notes`)}.`,
          ...(money ? [say`${money.title}.`] : []),
          ...(reasons.length > 0 ? [say`Not released for work:`, ...reasons] : []),
          say`Sign-offs: ${signedText(plan)}.`,
        ],
        '\n',
      ),
      settings,
    ),
    errors,
    warnings,
    information,
    isPartial,
  };
}

/** Worst first: by errors, then by what could not be read, warnings, notes, and name. */
export const worstFirst = (plans: readonly PlanSummary[]): PlanSummary[] =>
  [...plans].sort(
    (a, b) =>
      b.errors - a.errors ||
      Number(b.isPartial) - Number(a.isPartial) ||
      b.warnings - a.warnings ||
      b.information - a.information ||
      byCodeUnits(a.name, b.name),
  );

/** The same plans; those of one number, as versions of one repair, have their files' names beside it. */
export function toldApart(plans: readonly PlanSummary[]): PlanSummary[] {
  const times = new Map<string, number>();
  for (const { name } of plans) times.set(name, (times.get(name) ?? 0) + 1);
  return plans.map((plan) => {
    const file = fileName(plan.uri).replace(/\.repair-plan\.ya?ml$/, '');
    return times.get(plan.name) === 1 ? plan : { ...plan, name: `${plan.name} · ${file}` };
  });
}

/** Who has signed, and which roles the shop still asks for. A plan that has no findings is not released by that. */
function signedText(plan: Plan): Phrase {
  const { signedRoles } = plan;
  const missing = plan.scope.policy.signOffs.filter((role) => !signedRoles.includes(role));
  if (signedRoles.length === 0) return say`signed by nobody`;
  const signed = say`signed by ${andList(signedRoles.map(roleTitle))}`;
  return missing.length === 0 ? signed : say`${signed}, not by ${andList(missing.map(roleTitle))}`;
}
