import type { Plan } from '../plan/plan.ts';
import { scheduleOf } from '../sequence/critical-path.ts';
import { sequenceOf } from '../sequence/lives.ts';

/** How long halves of a connector are bare when every step comes as early as the order allows. */
export interface Exposure {
  /** Milliseconds, the stretches of both halves united where they are the same. */
  readonly bare: number;
  /** Some stretch ends nowhere: it lasts to the end of the plan. */
  readonly open: boolean;
  /** Steps that soil, heat or knock may fall into it. */
  readonly met: number;
}

/** By connector, those that are opened. The one place at which the comparison asks how connectors fare. */
export function exposures(plan: Plan): ReadonlyMap<string, Exposure> {
  const found = new Map<string, Exposure>();
  const schedule = scheduleOf(plan);
  if (!schedule) return found;
  for (const [id, { windows, unsure, unclear }] of sequenceOf(plan).lives) {
    if (windows.length === 0 || unsure || unclear) continue;
    let bare = 0;
    let open = false;
    const met = new Set<string>();
    for (const { opened, closed, hazards } of windows) {
      const from = schedule.of(opened.operation).earliestFinish;
      const to = closed ? schedule.of(closed.operation).earliestStart : schedule.finish;
      bare += Math.max(0, to - from);
      open ||= !closed;
      for (const { operation } of hazards) met.add(operation.id);
    }
    found.set(id, { bare, open, met: met.size });
  }
  return found;
}
