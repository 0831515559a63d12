import { describe, expect, test } from 'vitest';
import { hover } from '../../server/src/features/hover.ts';
import { openAt } from '../support/cursor.ts';
import { exampleFiles, wholePlan } from '../support/frame.ts';

const lines = (connectors: string, operations = '', rest = ''): string =>
  wholePlan(`heat-budget: 45 W
connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, ${connectors} }
operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
${operations}${rest}`);

/** Text of the hover at the mark `▮`. */
function hoverIn(marked: string): string | undefined {
  const { workspace, uri, offset } = openAt({ ...exampleFiles, 'one.repair-plan.yaml': marked });
  return hover(workspace, uri, offset)?.markdown;
}

describe('the heat on hover', () => {
  // Facts of the trade (common practice, no source): 300 A through 1 mΩ is 90 W, 10 mΩ 900 W, 0.1 Ω 9 kW, 1 Ω 90 kW.
  const plan = lines(
    'current: { steady: ▮300 A, peak: 600 A, peak-time: 10 s }, resistance: { limit: 1 mΩ }',
  );

  test.each([
    ['at the limit', '1 mΩ', '90 W', '360 W'],
    ['dirt, ×10', '10 mΩ', '900 W', '3.6 kW'],
    ['dirt, ×100', '100 mΩ', '9 kW', '36 kW'],
    ['dirt, ×1000', '1 Ω', '90 kW', '360 kW'],
  ])('%s: %s gives off %s, and %s at the peak', (...cells) => {
    expect(hoverIn(plan)).toContain(`| ${cells.join(' | ')} |`);
  });

  test('the largest resistance within the budget is P/I²', () => {
    // 45 W at 300 A: half of the 90 W that 1 mΩ gives off.
    expect(hoverIn(plan)).toContain("within the plan's heat budget of 45 W: **0.5 mΩ** at 300 A");
  });

  test('the assumptions and the caution are shown, the caution above the figures', () => {
    const text = hoverIn(plan)!;
    expect(text).toContain('Assumed for the temperatures: air around the connector 40 °C');
    expect(text.indexOf('An estimate for planning, not a measurement')).toBeLessThan(
      text.indexOf('| contact |'),
    );
  });

  test('every assumption is named with its range and why', () => {
    const said = /Assumed for the temperatures: (.*)\./.exec(hoverIn(plan)!)![1]!.split('; ');
    expect(said).toHaveLength(5);
    for (const one of said) expect(one).toMatch(/^[\w ]+ [\d.]+ (°C|J\/K|K\/W) \([\d.]+…[\d.]+: .+\)$/u);
  });

  test('a reading’s uncertainty reaches watts and temperature', () => {
    const text = hoverIn(
      lines(
        'current: { steady: 300 A }, resistance: { limit: 1 mΩ }',
        '',
        'measurements:\n  - { connector: inverter-dc, method: four-wire, value: 0.▮4 mΩ, uncertainty: 0.02 mΩ }\n',
      ),
    )!;
    // 300² A² × 0.4 mΩ = 36 W, × 0.02 mΩ = 1.8 W, through 4.5 K/W 8.1 K, rounded up.
    expect(text).toMatch(/\*\*measured\*\* \| 0\.4 ± 0\.02 mΩ \| 36 ± 1\.8 W \| 202 ± 9 °C \(/);
  });

  test('a duty cycle: mean heat, the first cycle and later ones, room', () => {
    const text = hoverIn(
      lines(
        'temperature-class: 125 °C, current: { duty-cycle: [{ current: 400▮ A, time: 20 s }, { current: 0 A, time: 60 s }] }, resistance: { limit: 1 mΩ }',
      ),
    )!;
    // 400 A a quarter of the time: 200 A RMS, 40 W in 1 mΩ; 45 W leave room for 45/200² = 1.125 mΩ.
    expect(text).toContain(
      '| contact | resistance | mean of the cycle, 200 A RMS | in the cycle, estimated |',
    );
    expect(text).toMatch(/\| at the limit \| 1 mΩ \| 40 W \| \d+ °C in the first cycle, \d+ °C \(/);
    expect(text).toMatch(/\*\*1\.1[23] mΩ\*\* over the duty cycle/);
    expect(text).toMatch(/within its class of 125 °C, estimated: .* in the duty cycle/);
  });

  test('the drop is a bound, and so is the temperature behind it; a hand and its threshold', () => {
    const text = hoverIn(
      lines(
        'plating: silver, temperature-class: 125 °C, current: { steady: 180▮ A, peak: 520 A, peak-time: 10 s }, resistance: { limit: 0.5 mΩ }',
      ),
    )!;
    expect(text).toContain('260 mV from terminal to terminal, an upper bound for the contact itself');
    expect(text).toMatch(/at most \d+ °C in its contact spots \(Holm/);
    expect(text).toContain('silver softens at 90 mV (Holm): possible');
    expect(text).toMatch(/within its class of 125 °C, estimated: .* at 180 A; .* after the peak/);
    expect(text).toMatch(
      /Outside of its housing, in continuous use at 180 A at the limit: .*; 65 °C, where 1 s may burn, after \d+ min/,
    );
  });

  test.each([
    [
      'a connector in a step',
      lines('current: { steady: 300 A }, resistance: { limit: 1 mΩ }').replace(
        '[inverter-dc]',
        '[inv▮erter-dc]',
      ),
    ],
    ['a resistance', lines('current: { steady: 300 A }, resistance: { limit: 1▮ mΩ }')],
    [
      'a reading',
      lines(
        'current: { steady: 300 A }, resistance: { limit: 1 mΩ }',
        '',
        'measurements:\n  - { connector: inverter-dc, value: 0.▮4 mΩ }\n',
      ),
    ],
  ])('over %s', (_, text) => {
    expect(hoverIn(text)).toContain('| at the limit | 1 mΩ | 90 W |');
  });

  test('over a key its documentation, over a task its hazards', () => {
    expect(hoverIn(lines('curr▮ent: { steady: 300 A }'))).toContain('The current it carries in use.');
    expect(
      hoverIn(lines('current: { steady: 300 A }', '  - { id: op40, do: gri▮nd, zone: roof }\n')),
    ).toContain('dust');
  });

  test('text from a plan is never Markdown', () => {
    const text = hoverIn(lines("current: { steady: 3▮00 A }, name: '[x](command:evil) <b>'"))!;
    expect(text).not.toContain('[x](command:evil)');
    expect(text).not.toContain('<b>');
  });
});
