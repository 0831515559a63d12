/** The shapes, signs and words of the timeline. */
import { say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import type { ConnectorClass } from '../../plan/tables/classes.ts';
import type { State } from '../../sequence/course.ts';
import { printable } from '../listing/printable.ts';
import { px, segment } from '../pictures/picture-parts.ts';

/** Unit: pixels. */
export const laneHeight = 17;

export const stateWords: Readonly<Record<State, Phrase>> = {
  mated: say`not yet opened`,
  open: say`open`,
  exposed: say`exposed`,
  covered: say`covered`,
  closed: say`closed, not yet tested`,
  proven: say`tested`,
};

/** The classes in a few words, where it is plain that connectors are meant. */
export const classWords: Readonly<Record<ConnectorClass, Phrase>> = {
  'high-voltage-power': say`high-voltage power`,
  interlock: say`interlock`,
  restraint: say`restraint`,
  pyrotechnic: say`pyrotechnic disconnect`,
  '48-volt': say`48 V`,
  sensor: say`sensor`,
  data: say`data`,
  'low-voltage': say`low-voltage`,
  earth: say`earth connection`,
  'fluid-line': say`fluid line`,
};

/** Room that a text of the small size takes. Unit: pixels. */
export const widthOf = (label: string): number => label.length * 6.4 + 3;

/**
 * A connector in a state, from `x` to `end`.
 * @param id of the picture, which its patterns are named by
 */
export function stateShape(id: string, state: State, x: number, end: number, middle: number): string {
  const box = (kind: string, height: number, fill = ''): string =>
    `<rect class="${kind}"${fill && ` fill="url(#${id}-${fill})"`} x="${px(x + 0.6)}" y="${px(middle - height / 2)}" width="${px(Math.max(0.8, end - x - 1.2))}" height="${height}"/>`;
  if (state === 'mated') return segment(x, middle, end, middle, 'mated');
  if (state === 'open') return box('open', laneHeight);
  if (state === 'exposed') return box('exposed', laneHeight, 'cross');
  if (state === 'covered') return box('covered', laneHeight - 5, 'hatch');
  if (state === 'closed') return box('closed', 8);
  return box('proven', 5);
}

/** The widest part of an interval that is free of signs. */
export function widestRoom(
  x: number,
  end: number,
  taken: readonly (readonly [from: number, to: number])[],
): { x: number; end: number } {
  let widest = { x, end: x };
  let from = x;
  for (const [start, stop] of [...taken, [end, end] as const].sort((a, b) => a[0] - b[0])) {
    const to = Math.min(start, end);
    if (to - from > widest.end - widest.x) widest = { x: from, end: to };
    from = Math.max(from, stop);
  }
  return widest;
}

/** Words in a picture, from their left edge. */
export interface PlacedWords {
  readonly label: string;
  readonly x: number;
  readonly width: number;
}

/** A triangle with an exclamation mark. */
export function warningSign(x: number, y: number): string {
  return (
    `<path class="sign" d="M${px(x)} ${px(y - 5)}L${px(x + 6)} ${px(y + 5)}H${px(x - 6)}Z"/>` +
    `<path class="stroke" d="M${px(x)} ${px(y - 1.5)}V${px(y + 1.5)}"/><path class="stroke" d="M${px(x)} ${px(y + 3)}V${px(y + 3.8)}"/>`
  );
}

/** A wedge that strikes the line from above. */
export const knockSign = (x: number, y: number): string =>
  `<path class="line" d="M${px(x - 4)} ${px(y - 9)}L${px(x)} ${px(y - 2)}L${px(x + 4)} ${px(y - 9)}"/>`;

export const seatSign = (x: number, y: number): string =>
  `<circle class="open" cx="${px(x)}" cy="${px(y)}" r="4"/>`;

/** A text of the plan as a label: safe to show, and not longer than there is room for. */
export function shortened(words: string, max: number): string {
  const shown = printable(words);
  return shown.length > max ? `${shown.slice(0, max - 1)}…` : shown;
}
