import { capital, joined, say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import type { HeatEstimate } from './estimate.ts';
import type { HeatRow } from './heat-row.ts';
import { RUNAWAY_WORDS, quantityText, temperatureText, whenPassed } from './text.ts';
import { verdictWords } from './uncertainty.ts';

export const asWords = { measured: say`as measured`, 'as-new': say`as new`, limit: say`at the limit` };

/** Whether a row has a load that lasts, and so a temperature that it comes to. */
export const lasts = (row: HeatRow): boolean =>
  row.steadyTemperature !== undefined || row.cycleTemperature !== undefined;

/**
 * The last word first, in one line without its full stop: the reading against the limit, the temperature class, and
 * whether the heat has an end. `undefined` when nothing is known.
 */
export function heatVerdict({ rows, clean, judgement, known }: HeatEstimate): Phrase | undefined {
  const row = rows.find(({ key }) => key === clean?.row);
  if (!row || !clean) return undefined;
  const said: Phrase[] = [];
  if (judgement) said.push(say`${quantityText(row.resistance, 'Ω')}, ${verdictWords(judgement)}`);
  if (row.runaway !== 'none') said.push(RUNAWAY_WORDS[row.runaway]);
  else if (row.earliest && known.temperatureClass !== undefined && lasts(row))
    said.push(say`class of ${temperatureText(known.temperatureClass)}: ${whenPassed(row, known.peakTime)}`);
  return said.length === 0 ? undefined : say`${capital(asWords[clean.row])}: ${joined(said, '; ')}`;
}
