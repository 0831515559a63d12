import { say } from '../../language/phrase.ts';
/**
 * Highest voltage at which insulating gloves of a class may be used. Source: ASTM D120 and IEC 60903, class
 * table. The figures are for gloves in date and tested; test intervals differ between rules and are not given
 * here.
 */
export interface GloveClass {
  readonly id: '00' | '0' | '1' | '2' | '3' | '4';
  /** V, root mean square */
  readonly alternating: number;
  /** V */
  readonly direct: number;
}

/** Lowest class first. */
export const gloveClasses: readonly GloveClass[] = [
  { id: '00', alternating: 500, direct: 750 },
  { id: '0', alternating: 1_000, direct: 1_500 },
  { id: '1', alternating: 7_500, direct: 11_250 },
  { id: '2', alternating: 17_000, direct: 25_500 },
  { id: '3', alternating: 26_500, direct: 39_750 },
  { id: '4', alternating: 36_000, direct: 54_000 },
];

export const gloveSource = say`ASTM D120 and IEC 60903, table of glove classes`;
