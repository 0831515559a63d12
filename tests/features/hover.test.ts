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

  test('what is assumed and the caution are said, the caution above the figures', () => {
    const text = hoverIn(plan)!;
    expect(text).toContain('Assumed for the temperatures: air around the connector 40 °C');
    expect(text.indexOf('An estimate for planning, not a measurement')).toBeLessThan(
      text.indexOf('| contact |'),
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

  test('over a key its meaning, over a task what it raises', () => {
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
