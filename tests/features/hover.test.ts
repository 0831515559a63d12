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
  // No break inside a figure and its unit.
  return hover(workspace, uri, offset)?.markdown.replaceAll('\u00a0', ' ');
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
    const [name, resistance, ...watts] = cells;
    expect(hoverIn(plan)).toContain(`| ${name}, ${resistance} | ${watts.join(' | ')} |`);
  });

  test('the largest resistance within the budget is P/I²', () => {
    // 45 W at 300 A: half of the 90 W that 1 mΩ gives off.
    expect(hoverIn(plan)).toContain("within the plan's heat budget of 45 W: **0.5 mΩ** at 300 A");
  });

  test('the verdict stands above the caution, and the caution above the figures', () => {
    const text = hoverIn(plan)!;
    const at = ['**At the limit: ', 'An estimate for planning, not a measurement', '| contact |'].map(
      (words) => text.indexOf(words),
    );
    expect(at).not.toContain(-1);
    expect(at).toEqual(at.toSorted((a, b) => a - b));
  });

  test('the first line is the verdict', () => {
    expect(hoverIn(plan)!.split('\n')[0]).toMatch(/^\*\*At the limit: .*\.\*\*$/);
  });

  test('at most four columns, and the rest behind the page of the connector', () => {
    const text = hoverIn(plan)!;
    for (const line of text.split('\n').filter((each) => each.startsWith('|')))
      expect(line.match(/\|/g)!.length).toBeLessThanOrEqual(5);
    expect(text).toContain('In brackets: what 8 assumptions leave open.');
    expect(text).toContain('`plugward heat PLAN --connector inverter-dc`');
  });

  test.each([
    ['0.01 mΩ', 'kept over the whole range'],
    ['0.3 mΩ', /not as assumed; at the earliest after \d+ (s|min) at steady current/],
    [
      '0.6 mΩ',
      /as assumed after \d+ min at steady current; at the earliest after [\d.]+ (min|s) at steady current/,
    ],
    ['1.2 mΩ', 'at the warm end of what is assumed there is no steady temperature: it keeps heating'],
    ['2.5 mΩ', 'as assumed there is no steady temperature: it keeps heating'],
    ['20 mΩ', 'there is no steady temperature over the whole range: it keeps heating'],
  ])('the verdict follows the range: %s', (limit, words) => {
    const text = hoverIn(
      lines(`temperature-class: 125 °C, current: { steady: 180▮ A }, resistance: { limit: ${limit} }`),
    )!;
    expect(/\*\*At the limit: (.*)\.\*\*/.exec(text)![1]).toMatch(words);
  });

  test('no sentence lets anybody touch, and a warm end is warned of', () => {
    const cool = hoverIn(lines('current: { steady: 10▮ A }, resistance: { limit: 0.1 mΩ }'))!;
    const warm = hoverIn(lines('current: { steady: 180▮ A }, resistance: { limit: 0.5 mΩ }'))!;
    for (const text of [cool, warm]) expect(text).not.toMatch(/can be touched|may be touched|safe/);
    expect(warm).toMatch(
      /Outside of its housing, in continuous use at 180 A at the limit: .*; bare metal may burn skin within 1 s/,
    );
  });

  test('given and not given never contradict: a stated current of nothing is not missing', () => {
    const text = hoverIn(lines('current: { steady: 0 A, peak: 300▮ A }, resistance: { limit: 1 mΩ }'))!;
    expect(text).toContain('Given, but not usable: steady current.');
    expect(text).not.toMatch(/Not given: .*steady current/);
    const reversed = hoverIn(lines('current: { steady: -300▮ A }, resistance: { limit: 1 mΩ }'))!;
    expect(reversed).toContain('| at the limit, 1 mΩ | 90 W |');
    expect(reversed).not.toMatch(/(Not given|not usable): .*steady current/);
  });

  test('a reading’s uncertainty reaches watts and temperature', () => {
    const text = hoverIn(
      lines(
        'current: { steady: 300 A }, resistance: { limit: 1 mΩ }',
        '',
        'measurements:\n  - { connector: inverter-dc, method: four-wire, value: 0.▮4 mΩ, uncertainty: 0.02 mΩ }\n',
      ),
    )!;
    // 300² A² × 0.4 mΩ = 36 W, × 0.02 mΩ = 1.8 W; the temperature's own is more than the 8.1 K of a cold contact.
    expect(text).toMatch(/\*\*measured\*\*, 0\.4 ± 0\.02 mΩ \| 36 ± 1\.8 W \| \d+ ± \d\d °C \(/);
  });

  test('a duty cycle: mean heat, the first cycle and later ones, room', () => {
    const text = hoverIn(
      lines(
        'temperature-class: 125 °C, current: { duty-cycle: [{ current: 400▮ A, time: 20 s }, { current: 0 A, time: 60 s }] }, resistance: { limit: 0.5 mΩ }',
      ),
    )!;
    // 400 A a quarter of the time: 200 A RMS, 20 W in 0.5 mΩ; 45 W leave room for 45/200² = 1.125 mΩ.
    expect(text).toContain('| contact | mean of the cycle, 200 A RMS | in the cycle, estimated |');
    expect(text).toMatch(/\| at the limit, 0\.5 mΩ \| 20 W \| \d+ °C \(/);
    expect(text).toMatch(/\*\*1\.1[23] mΩ\*\* over the duty cycle/);
    expect(text).toMatch(/within its class of 125 °C, estimated: .* in the duty cycle/);
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
    expect(hoverIn(text)).toContain('| at the limit, 1 mΩ | 90 W |');
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

describe('the caution of a step on hover', () => {
  const plan = (step: string): string =>
    wholePlan(`connectors:
  - { id: seat-bag, class: restraint, zone: cabin }
  - { id: hose, class: fluid-line, medium: refrigerant, zone: motor-bay }
operations:
  - ${step}
`);

  test.each([
    ['its task', '{ id: op10, do: ▮cover, connectors: [seat-bag] }', 'Restraint system (SRS): seat-bag'],
    ['its id', '{ id: ▮op10, do: cover, connectors: [seat-bag] }', 'Restraint system (SRS): seat-bag'],
    ['a task at a line', '{ id: op10, do: ▮drill, zone: motor-bay }', 'Line near this work: hose'],
    ['a task that nobody is hurt by', '{ id: op10, do: ▮polish, zone: doors }', undefined],
  ])('%s', (_, step, words) => {
    const text = hoverIn(plan(step))!;
    if (words === undefined) expect(text).not.toContain('⚠');
    else expect(text).toContain(`⚠ ${words}`);
  });
});
