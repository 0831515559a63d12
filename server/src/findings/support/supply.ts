import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import { vehicleTimeline } from '../../sequence/facts/timeline.ts';

/**
 * Steps that bring the 12 V supply on, also by a task of the shop's own. A gate, such as a jump start, is not among them: what it
 * may not meet is told by itself.
 */
export const suppliesOf12V = (plan: Plan): readonly Operation[] =>
  vehicleTimeline(plan, '12v-on').makers.filter(({ task }) => task?.gate === false);
