import type { LabourLine, Plan } from '../plan/plan.ts';
import { decimalOf } from './decimal.ts';

/** The time that a line's steps are planned to take, s; undefined where one of them states none. */
export function plannedSeconds(plan: Plan, { for: paid, task }: LabourLine): number | undefined {
  const own = paid.flatMap(({ value }) => {
    const step = plan.step(value);
    return step ? plan.operationsOf(step) : [];
  });
  // A line for one task of a followed procedure pays that task alone.
  const named = own.filter(({ taskId }) => taskId === task?.value);
  const seconds = (named.length > 0 ? named : own).map(({ time }) => time?.si);
  if (seconds.length === 0 || seconds.some((one) => one === undefined)) return undefined;
  return (seconds as number[]).reduce((sum, one) => sum + one, 0);
}

/** To the second: hours are exact decimals, stated times are not. */
export const isAsPlanned = (planned: number, { hours }: LabourLine): boolean =>
  hours !== undefined && decimalOf(String(hours))?.times(3600).round(0).eq(Math.round(planned)) === true;
