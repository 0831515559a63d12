import { rangeOf } from '../../text/span.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';

/**
 * The attributes of an element that represents steps of the plan: `data-from`, the start of the first, and
 * `data-spans`, the ranges of the plan's text about them; UTF-16 offsets. Empty for steps of another file.
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
