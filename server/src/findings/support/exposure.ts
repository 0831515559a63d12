import type { Window } from '../../sequence/facts/exposure.ts';
import type { CheckContext } from '../finding.ts';

/**
 * Whether another finding already reports this window as exposed, so that it is reported only once. False if
 * the shop accepted it or switched it off.
 */
export function isReportedElsewhere(
  window: Window,
  windows: readonly Window[],
  connector: string,
  counts: CheckContext['isActive'],
): boolean {
  const { opened, closed } = window;
  const open = opened.operation.id;
  const cover =
    closed?.act === 'cover'
      ? closed.operation.id
      : windows.find((other) => other.opened === opened && other.closed?.act === 'cover')?.closed?.operation
          .id;
  const [finding, operation] =
    opened.act === 'uncover'
      ? ['early-uncover', open]
      : cover === undefined
        ? ['bare-connector', open]
        : [closed?.act === 'cover' ? 'late-cover' : 'half-covered', cover];
  return counts(finding, { operation, connector });
}
