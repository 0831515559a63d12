import { expect, test } from 'vitest';
import { estimateHeat } from '../../server/src/heat/estimate.ts';
import type { HeatInput } from '../../server/src/heat/estimate.ts';
import type { HeatRow } from '../../server/src/heat/heat-row.ts';
import { earliestPassed, touchWarning, whenPassed } from '../../server/src/heat/text.ts';
import { heatVerdict } from '../../server/src/heat/verdict.ts';
import type { Phrase } from '../../server/src/language/phrase.ts';
import { digest, heatWords } from './told.ts';
import { rank } from './variants.ts';

const nothing = undefined;
/** What may be known of a connector; each value is taken as often as it stands here. */
const known: { readonly [K in keyof HeatInput]-?: readonly (HeatInput[K] | undefined)[] } = {
  steady: [nothing, 40, 180, 180, 300, -180, 600, 0],
  peak: [nothing, nothing, 520, 520, 100, 1500],
  peakTime: [nothing, 10, 10, 0.5, 600, 0],
  cycle: [
    nothing,
    nothing,
    [
      { current: 300, duration: 10 },
      { current: 0, duration: 20 },
    ],
    [
      { current: 400, duration: 5 },
      { current: -200, duration: 5 },
      { current: 20, duration: 300 },
    ],
    [
      { current: 250, duration: 0 },
      { current: 100, duration: 10 },
    ],
    [{ current: 0, duration: 10 }],
  ],
  asNew: [nothing, 0.2e-3, 0.2e-3, 0.5e-3, 5e-3],
  limit: [nothing, 0.8e-3, 0.5e-3, 0.1e-3, 10e-3],
  reference: [nothing, nothing, 293.15, 313.15, 100],
  measured: [
    nothing,
    { value: 0.31e-3, uncertainty: 0.02e-3, at: 295.15 },
    { value: 0.49e-3, uncertainty: 0.05e-3 },
    { value: 0.8e-3 },
    { value: 2e-3, uncertainty: 0.1e-3, at: 340 },
    { value: 0.9e-3, uncertainty: 0, at: 50 },
  ],
  plating: [nothing, 'silver', 'tin', 'gold', 'nickel', 'aluminium', 'copper'],
  cableArea: [nothing, 50e-6, 50e-6, 6e-6, 95e-6],
  temperatureClass: [nothing, 398.15, 398.15, 358.15, 320],
  ambient: [nothing, nothing, 323.15, 293.15, 400, 50],
  budget: [nothing, 8, 15, 60, 1],
  poles: [nothing, nothing, 1, 2, 5],
  usualPoles: [nothing, 2, 1],
  zone: [nothing, 'motor-bay', 'cabin', 'rear-floor', 'underbody'],
  thermal: [
    nothing,
    nothing,
    { contactToBody: 0.4, bodyToSurroundings: 3 },
    { contactCapacity: 15, bodyCapacity: 200, cableRise: 20 },
    { bodyToSurroundings: 12, coefficient: 0.0045 },
    { cableRise: 0, cableSurface: 8, cableShare: 0.5 },
  ],
};

/** One connector, always the same for a number. */
function inputOf(number: number): HeatInput {
  const chosen = Object.entries(known).map(([key, values]) => [
    key,
    values[rank(`${number} ${key}`) % values.length],
  ]);
  return Object.fromEntries(chosen.filter(([, value]) => value !== undefined)) as HeatInput;
}

/** What is said of a row. */
const inWords = (row: HeatRow, { peakTime }: HeatInput): Phrase[] => [
  whenPassed(row, peakTime),
  ...(['steady', 'cycle', 'any'] as const).map((kind) => earliestPassed(row, peakTime, kind)),
  ...(row.touch ? [touchWarning(row.touch, 'in use')] : []),
];

// What this is for: corpus.ts.
test('connectors of every kind', async () => {
  const lines = Array.from({ length: 800 }, (_, number) => {
    const input = inputOf(number);
    const heat = estimateHeat(input);
    const given = JSON.stringify(input).replaceAll('"', '');
    const words = heat.rows.flatMap((row) => inWords(row, input)).map(String);
    const verdict = String(heatVerdict(heat) ?? 'nothing');
    return `${given} => ${verdict} #${digest(heatWords(heat))} #${digest(words.join('\n'))}`;
  });
  await expect(`${lines.join('\n')}\n`).toMatchFileSnapshot('heat.txt');
});
