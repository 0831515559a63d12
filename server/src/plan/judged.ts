import { mapsIn } from '../document/node.ts';
import type { MapNode, ScalarNode } from '../document/node.ts';
import type { Plan } from './plan.ts';

/** Why a `judged-on` cannot stand. */
type JudgedFault = 'unsigned' | 'before-sign-off' | 'to-come';

interface Judged {
  readonly node: ScalarNode<string>;
  readonly fault: JudgedFault | undefined;
  /** The last day on which somebody signed. */
  readonly signed: string | undefined;
}

/** What a plan says about the day on which it is judged; undefined where it says nothing. */
export function judgedIn(plan: Plan, today: string | undefined): Judged | undefined {
  const node = plan.section('judged-on') as ScalarNode<string> | undefined;
  if (!node || node.rejectedBySchema) return undefined;
  const list = plan.section('sign-offs') as { items: readonly MapNode<{ date: string }>[] } | undefined;
  const signed = mapsIn<{ date: string }>(list)
    .flatMap((entry) => entry.get('date')?.value ?? [])
    .sort()
    .at(-1);
  const fault =
    signed === undefined
      ? 'unsigned'
      : node.value < signed
        ? 'before-sign-off'
        : today !== undefined && node.value > today
          ? 'to-come'
          : undefined;
  return { node, fault, signed };
}

/**
 * The day on which the sources, acceptances and qualifications of a plan are judged: `judged-on` of a finished plan, else
 * today. A `judged-on` that cannot stand freezes nothing, so that no unfinished plan is judged on a day of its choice.
 */
export function judgedDay(plan: Plan, today: string | undefined): string | undefined {
  const judged = judgedIn(plan, today);
  return judged && !judged.fault ? judged.node.value : today;
}
