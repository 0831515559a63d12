import type { Plan } from '../plan/plan.ts';
import { connectorStates } from '../sequence/course.ts';
import { scheduleOf } from '../sequence/critical-path.ts';

/** How long a connector is bare when every step comes as early as the order allows. */
export interface Exposure {
  /** Milliseconds in which at least one half is open and uncovered. */
  readonly bare: number;
  /** It is still bare at the end of the plan. */
  readonly open: boolean;
  /** How many steps may raise dirt near it meanwhile, in some order the plan allows. */
  readonly met: number;
}

/** By connector, those that are bare at some time. The one place at which the comparison asks how connectors fare. */
export function exposures(plan: Plan): ReadonlyMap<string, Exposure> {
  const found = new Map<string, Exposure>();
  const schedule = scheduleOf(plan);
  if (!schedule) return found;
  for (const { connector, stretches } of connectorStates(plan, schedule)) {
    const bare = stretches.filter(({ state }) => state === 'open' || state === 'exposed');
    if (bare.length === 0) continue;
    const met = new Set(bare.flatMap(({ hazards }) => hazards.map(({ operation }) => operation.id)));
    found.set(connector.id, {
      bare: bare.reduce((sum, { from, to }) => sum + (to - from), 0),
      open: bare.at(-1) === stretches.at(-1),
      met: met.size,
    });
  }
  return found;
}
