import { find } from '../features/check.ts';
import type { Settings } from '../features/check.ts';
import { planSummary } from '../features/plans.ts';
import type { PlanSummary } from '../features/plans.ts';
import type { Context } from './context.ts';

/** What a list of plans says of a file. */
export interface Counted {
  /** Null if it could not be made, undefined for a file that is no plan. */
  readonly plan: PlanSummary | null | undefined;
  readonly errors: number;
  readonly findings: number;
}

/** Undefined for a file of which no tree is there. */
export function countedOf(context: Context, key: string, settings: Settings): Counted | undefined {
  const { workspace } = context;
  if (!workspace.document(key)) return undefined;
  const found = find(workspace, key, settings);
  const errors = found.filter(({ severity }) => severity === 'error').length;
  let plan: Counted['plan'] = null;
  try {
    plan = planSummary(workspace, key, settings);
  } catch (error) {
    context.report(`summary of ${key}`, error);
  }
  return { plan, errors, findings: found.length };
}
