/** Heat against resistance, both on logarithmic scales. */
import { localizedNumber, joined, say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import type { HeatEstimate } from '../../heat/estimate.ts';
import { heatChart } from './heat-chart.ts';
import { ROW_STYLES, pictureFrame, table } from './picture-parts.ts';
import { verdictWords } from '../../heat/uncertainty.ts';
import { ranged } from './temperature-panels.ts';
import { quantityText, uncertainText } from '../../heat/text.ts';

/**
 * Heat of `connector` against its contact resistance, both on logarithmic scales. `undefined` when the estimate has no
 * resistance or no current to draw.
 */
export function heatPicture(estimate: HeatEstimate, connector: string): Phrase | undefined {
  const { rows, known } = estimate;
  const box = { left: 80, right: 588, top: 88, bottom: 388 };
  const chart = heatChart(estimate, box);
  if (!chart) return undefined;
  const parts: Value[] = [...chart];
  const figures = (
    figure: 'steady' | 'peak' | 'cycle' | 'dropAtPeak',
    unit: 'W' | 'V',
  ): (Value | undefined)[] =>
    rows.map((row) =>
      row[figure] === undefined ? undefined : uncertainText(row[figure], row.uncertainties?.[figure], unit),
    );
  const listed = table(
    box.bottom + 66,
    rows.map((row) => row.key),
    [
      {
        head: say`resistance`,
        cells: rows.map((row) => uncertainText(row.resistance, row.uncertainty, 'Ω')),
      },
      { head: say`steady heat`, cells: figures('steady', 'W') },
      { head: say`peak heat`, cells: figures('peak', 'W') },
      { head: say`cycle, mean`, cells: figures('cycle', 'W') },
      { head: say`voltage drop`, cells: figures('dropAtPeak', 'V') },
      {
        head: say`same heat as cable`,
        cells: rows.map(({ cableLength }) =>
          cableLength === undefined ? undefined : localizedNumber(`${Number(cableLength.toPrecision(2))} m`),
        ),
      },
    ],
  );
  parts.push(listed.svg);

  const { judgement, clean, largestResistance } = estimate;
  const notes: Phrase[] = [];
  if (judgement) {
    notes.push(say`The reading is ${verdictWords(judgement)}. Rule: ${judgement.rule}.`);
  }
  const room = [
    largestResistance.forBudget === undefined
      ? undefined
      : say`${inOhm(largestResistance.forBudget)} at steady current`,
    largestResistance.forCycleBudget === undefined
      ? undefined
      : say`${inOhm(largestResistance.forCycleBudget)} over the duty cycle`,
  ].filter((phrase) => phrase !== undefined);
  if (known.budget !== undefined && room.length > 0) {
    notes.push(
      say`Heat stays within the budget of ${quantityText(known.budget, 'W')} up to ${joined(room, ', ')}.`,
    );
  }
  const spots = rows.find((row) => row.key === clean?.row);
  if (spots?.dropAtPeak !== undefined) {
    const behind = ranged(spots.spotTemperature, spots.uncertainties?.spotTemperature);
    notes.push(
      behind === undefined
        ? say`The drop is read from terminal to terminal; crimps account for part of it.`
        : say`The drop is read from terminal to terminal; crimps account for part of it. If all of the warm drop were across the contact spots of the ${ROW_STYLES[spots.key].name} contact, they would be at ${behind} (Holm).`,
    );
  }
  if (clean) {
    notes.push(
      say`The dirt rows multiply the clean resistance (${ROW_STYLES[clean.row].name}); only a measurement tells how dirty a contact is.`,
    );
  }
  return pictureFrame(
    say`Heat of ${connector}`,
    say`I²R of one contact at the given currents, in its resistance as stated; logarithmic scales`,
    parts,
    listed.bottom,
    notes,
  );
}

const inOhm = (value: number): Phrase => quantityText(value, 'Ω');
