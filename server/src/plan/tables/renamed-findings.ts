import { own } from '../../base/collections.ts';

/**
 * Findings that had another name. The old one is still understood in `accepted:`, in severities and by
 * `plugward explain`. *Isolation* is the task that makes the system dead; these two are about insulation.
 */
const newNames: Readonly<Record<string, string>> = {
  'isolation-unproven': 'insulation-unproven',
  'isolation-low': 'insulation-low',
  'never-ends': 'never-closed',
};

/** The names that findings had before. */
export const oldFindingNames: readonly string[] = Object.keys(newNames);

/** The name of a finding today, by the name that was written. */
export const currentFindingId = (written: string): string => own(newNames, written) ?? written;
