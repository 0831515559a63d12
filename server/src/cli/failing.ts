import { say } from '../language/phrase.ts';
import type { Counts, Severity } from '../report/listing/listing.ts';
import type { Options } from './arguments.ts';

/** When a run fails, as `check` and `merge` are told. */
export const failingOptions = {
  'fail-on': {
    type: 'string',
    value: say`SEVERITY`,
    choices: ['error', 'warning', 'information'],
    help: say`exit with 1 when a finding is this severe or worse (default: warning)`,
  },
  'max-warnings': {
    type: 'string',
    value: 'N',
    help: say`allow up to N warnings; one more fails`,
  },
  'exit-zero': { type: 'boolean', help: say`exit with 0 whatever is found` },
} as const satisfies Options;

/** Whether a run fails: a finding at or above `failOn`, or more warnings than `limit`. */
export function fails(
  { error, warning, information }: Counts,
  failOn: Severity,
  limit: number | undefined,
): boolean {
  const warningsCount = limit !== undefined || failOn !== 'error';
  return (
    error > 0 || (warningsCount && warning > (limit ?? 0)) || (failOn === 'information' && information > 0)
  );
}
