import { rangeOf } from '../../text/span.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';

/**
 * The attributes of an element that stands for steps of the plan: `data-from`, where the first of them begins, and
 * `data-spans`, the stretches of the plan's text that speak of them; UTF-16 offsets. Nothing for steps that stand in
 * another file.
 */
export function placesOf(plan: Plan, operations: readonly Operation[]): string {
  const steps = [...new Set(operations.map(({ planStep }) => planStep))].filter(
    ({ uri }) => uri === plan.document.uri,
  );
  const first = steps[0];
  if (!first) return '';
  const spans = steps.map(({ node }) => rangeOf(node.span)).map(({ start, end }) => `${start}-${end}`);
  return ` data-from="${rangeOf(first.span).start}" data-spans="${spans.join(' ')}"`;
}
