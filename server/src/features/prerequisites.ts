/** Which findings can be evaluated on a text that may be partly unreadable. What cannot be known is not reported. */
import type { Document } from '../document/document.ts';
import type { FindingRule, Prerequisite } from '../findings/finding.ts';
import { findings } from '../findings/registry.ts';
import { safetyUnsure } from '../findings/support/high-voltage.ts';
import { memoByKey } from '../incremental/query.ts';
import type { Plan } from '../plan/plan.ts';
import { sequenceOf } from '../sequence/lives.ts';

/**
 * Whether every check has seen all it stands on. It has not while a part of the text, or of a file that is used, is
 * missing, cannot be read or is refused by the language: "no findings" would then be said of what nobody has looked at.
 */
export function isFullyChecked(plan: Plan): boolean {
  const { document, scope } = plan;
  if (scope.unresolved.length > 0) return false;
  if ([document, ...scope.used].some(isPartlyRead)) return false;
  const canEvaluate = evaluableIn(plan);
  return findings.every((finding) => !finding.kinds.includes(document.kind) || canEvaluate(finding));
}

/** Whether some of it reads as absent. */
const isPartlyRead = ({ root, problems, mistakes }: Document): boolean =>
  !root || problems.length > 0 || mistakes.some(({ node }) => node.rejectedBySchema === true);

const requiredSections: Readonly<Record<Prerequisite, readonly string[]>> = {
  text: [],
  names: [],
  order: ['uses', 'zones', 'connectors', 'operations'],
  lines: ['uses', 'operations', 'labour', 'materials', 'evidence'],
  findings: ['uses', 'zones', 'connectors', 'operations', 'labour', 'materials', 'accepted'],
  safety: ['uses', 'vehicle', 'zones', 'connectors', 'operations'],
  readings: ['uses', 'vehicle', 'connectors', 'measurements'],
  proof: ['uses', 'vehicle', 'zones', 'connectors', 'operations', 'measurements', 'sign-offs'],
};

/**
 * Whether the parts of the text that a finding depends on are readable. If not, the finding is not evaluated. Each ground is
 * looked at once.
 */
export function evaluableIn(plan: Plan): (finding: FindingRule) => boolean {
  const { kind, root } = plan.document;
  const isReadable = memoByKey((ground: Prerequisite) => areReadable(ground, plan));
  return ({ kinds, ground, needsEveryStep = false }) =>
    kinds.includes(kind) && root
      ? isReadable(ground) && !(needsEveryStep && safetyUnsure(plan))
      : ground === 'text';
}

function areReadable(ground: Prerequisite, plan: Plan): boolean {
  const needed = requiredSections[ground];
  const damaged = plan.document.problems.some(
    ({ section, contained, kind: problem }) =>
      problem !== 'key-twice' && !contained && (section === undefined || needed.includes(section)),
  );
  if (needed.length > 0 && damaged) return false;
  const ordered = ['order', 'safety', 'proof'].includes(ground);
  return !ordered || (!sequenceOf(plan).order.circle && !plan.firstOverLimit);
}
