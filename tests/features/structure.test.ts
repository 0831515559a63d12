import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { applyEdits } from '../../server/src/text/span.ts';
import { caution } from '../../server/src/features/caution.ts';
import { check } from '../../server/src/features/check.ts';
import { describeAt, describeKey, inBothUnits } from '../../server/src/features/describe.ts';
import { format } from '../../server/src/features/format.ts';
import { hints } from '../../server/src/features/hints.ts';
import { lenses } from '../../server/src/features/lenses.ts';
import { links } from '../../server/src/features/links.ts';
import { outline, searchSymbols } from '../../server/src/features/outline.ts';
import type { OutlineItem } from '../../server/src/features/outline.ts';
import { newFile } from '../../server/src/features/new-file.ts';
import { folds, selectionsAt } from '../../server/src/features/ranges.ts';
import { schemaAt } from '../../server/src/features/schema.ts';
import { plainText } from '../../server/src/features/snippets.ts';
import { status } from '../../server/src/features/status.ts';
import { tokensIn } from '../../server/src/features/tokens.ts';
import { openAt, placed } from '../support/cursor.ts';
import { sampleUri, samples, sampleWorkspace, workspaceOf } from '../support/files.ts';
import { exampleFiles, shortPlan as plan, wholePlan } from '../support/frame.ts';

const one = 'one.repair-plan.yaml';
const uri = `file:///plans/${one}`;
const open = (text: string) => workspaceOf({ ...exampleFiles, [one]: text });
const at = (text: string) => openAt({ ...exampleFiles, [one]: text });

describe('the outline', () => {
  test('of a file that is too long lists every section with its number of entries', () => {
    const sections = outline(open(plan), uri, 2);
    expect(sections.map(({ name }) => name)).toEqual(outline(open(plan), uri).map(({ name }) => name));
    expect(sections.map(({ detail, children }) => [detail, children.length])).toEqual([
      ['X-1', 0],
      ['A short one', 0],
      ['1', 0],
      ['1', 1],
      ['2', 1],
      ['1', 0],
    ]);
  });

  test('lists sections, steps, connectors and lines', () => {
    const print = (items: readonly OutlineItem[], indent = ''): string[] =>
      items.flatMap(({ name, detail, kind, children }) => [
        `${indent}${kind} ${name}${detail ? ` — ${detail}` : ''}`,
        ...print(children, `${indent}  `),
      ]);
    expect(print(outline(open(plan), uri))).toEqual([
      'name plan — X-1',
      'name title — A short one',
      'section uses — 1',
      'section connectors — 1',
      '  connector inverter-dc — high-voltage power connector · rear-floor',
      'section operations — 2',
      '  operation op10 — disconnect · inverter-dc',
      '  operation op20 — cover · inverter-dc',
      'section labour — 1',
      '  line op10 — disconnect · 0.3 h',
    ]);
  });

  test('the range of each item holds its selection and its children, in any cut of any sample', () => {
    const files = samples();
    const workspace = sampleWorkspace();
    fc.assert(
      fc.property(
        fc.constantFrom(...Object.keys(files)),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (name, cut) => {
          const text = files[name]!.slice(0, Math.round(cut * files[name]!.length));
          workspace.set(sampleUri(name), text);
          const visit = (item: OutlineItem): void => {
            expect(item.range.start).toBeLessThanOrEqual(item.selection.start);
            expect(item.range.end).toBeGreaterThanOrEqual(item.selection.end);
            expect(item.name).not.toBe('');
            for (const child of item.children) {
              expect(child.range.start).toBeGreaterThanOrEqual(item.range.start);
              expect(child.range.end).toBeLessThanOrEqual(item.range.end);
              visit(child);
            }
          };
          outline(workspace, sampleUri(name)).forEach(visit);
          const ends = tokensIn(workspace, sampleUri(name));
          ends.forEach((token, i) => expect(token.start).toBeGreaterThanOrEqual(ends[i - 1]?.end ?? 0));
          folds(workspace, sampleUri(name));
          lenses(workspace, sampleUri(name));
          format(workspace, sampleUri(name));
        },
      ),
      { numRuns: 40 },
    );
  });

  test('names in all files are found by subsequence, whole words first', () => {
    const found = searchSymbols(sampleWorkspace(), 'inlet').map(
      ({ name, container }) => `${name} in ${container}`,
    );
    expect(found[0]).toBe('charge-inlet in kestrel');
    expect(searchSymbols(sampleWorkspace(), 'isopr').map(({ name }) => name)).toContain(
      'isolate-and-prove-dead',
    );
    expect(searchSymbols(sampleWorkspace(), 'zzz')).toEqual([]);
  });
});

test('sections, entries of several lines and comments fold', () => {
  const text = plan.split('\n');
  const found = folds(open(plan), uri).map(
    ({ from, to, comment }) => `${text[from]!.trim()} … ${text[to]!.trim()}${comment ? ' #' : ''}`,
  );
  expect(found).toEqual([
    '# Two lines … # of comment. #',
    'uses: … - ./example.rate-sheet.yaml',
    'connectors: … limit: 1 mΩ',
    '- id: inverter-dc … limit: 1 mΩ',
    'resistance: … limit: 1 mΩ',
    'operations: … after: [op10]',
    '- id: op20 … after: [op10]',
    'labour: … - { for: op10, task: disconnect, hours: 0.3 }',
  ]);
});

test('a selection grows from the word to the file', () => {
  const { workspace, offset, text } = at(plan.replace('steady: 300', 'steady: ▮300'));
  expect(
    selectionsAt(workspace, uri, offset).map(({ start, end }) => text.slice(start, end).split('\n')[0]),
  ).toEqual([
    '300 A',
    'steady: 300 A',
    '{ steady: 300 A }',
    'current: { steady: 300 A }',
    'id: inverter-dc',
    '- id: inverter-dc',
    'connectors:',
    'plan: X-1',
    'plan: X-1',
  ]);
});

test('files, photographs and addresses are links; nothing else is', () => {
  const workspace = open(`plan: X-1
uses: [./example.rate-sheet.yaml, ../other/list.connector-list.yaml]
sources:
  - { id: S1, title: Invented, where: 'https://plugward.invalid/s1' }
  - { id: S2, title: Invented, where: section 4.2 }
  - { id: S3, title: Invented, where: 'javascript:alert(1)' }
operations: []
evidence:
  - { for: op10, photo: ./photos/op10.jpg }
  - { for: op10, photo: 'command:evil' }
`);
  expect(links(workspace, uri).map(({ target }) => target)).toEqual([
    'file:///plans/example.rate-sheet.yaml',
    'file:///other/list.connector-list.yaml',
    'file:///plans/photos/op10.jpg',
    'https://plugward.invalid/s1',
  ]);
});

describe('lenses', () => {
  test('a plan shows what its steps lack', () => {
    const workspace = open(wholePlan(plan.replace('disconnect, hours', 'lock, hours')));
    const found = lenses(workspace, uri).map(({ title, range }) => `${placed(workspace, range)}: ${title}`);
    expect(found[1]).toMatch(/^one:14 operations: \d+ findings?, \d serious$/);
    expect(found[2]).toBe('one:14 operations: 2 labour lines missing');
  });

  test('a plan shows its total and the value of its missing lines', () => {
    const titles = (files: Record<string, string>): string[] => {
      const [file] = Object.keys(files);
      return lenses(workspaceOf(files), `file:///plans/${file}`).map(({ title }) => title);
    };
    const sheet = `rate-sheet: s
currency: EUR
rates: [{ id: body, per-hour: '80.00' }]
times:
  - { task: disconnect, hours: 0.3, rate: body, basis: not-included }
  - { task: cover, hours: 0.1, rate: body, basis: not-included }
consumables: [{ id: tape, kind: tape, non-conductive: true, high-visibility: true, price: '1.25', unit: strip }]
`;
    const lines = `plan: X-1
uses: [./s.rate-sheet.yaml]
connectors: [{ id: plug, class: sensor, zone: doors }]
operations:
  - { id: op10, do: disconnect, connectors: [plug] }
  - { id: op20, do: cover, connectors: [plug], using: tape }
labour:
  - { for: op10, task: disconnect, hours: 0.3, rate: body, basis: not-included, reference: S1 }
`;
    const files = { 's.rate-sheet.yaml': sheet };
    // By hand: 0.3 h × 80 = 24.00; missing are 0.1 h × 80 = 8.00 and two strips (both halves) × 1.25 = 2.50.
    expect(titles({ 'x.repair-plan.yaml': lines, ...files })[0]).toBe(
      '24.00 EUR before tax; 10.50 not yet billed in 2 missing lines',
    );
    const says = (text: string) =>
      status(workspaceOf({ 'x.repair-plan.yaml': text, ...files }), 'file:///plans/x.repair-plan.yaml')!;
    expect(says(lines).text).toMatch(/^\d+ findings · 10\.50 EUR not yet billed$/);
    expect(says(lines).detail).toContain('24.00 EUR before tax; 10.50 not yet billed in 2 missing lines.');
    const whole = `${lines}  - { for: op20, task: cover, hours: 0.1, rate: body, basis: not-included, reference: S1 }
materials: [{ for: op20, item: tape, quantity: 2 }]
`;
    expect(titles({ 'x.repair-plan.yaml': whole, ...files })[0]).toBe(
      '34.50 EUR before tax; nothing left to bill',
    );
    expect(titles({ 'x.repair-plan.yaml': lines }).join()).not.toMatch(/not yet billed/);
    expect(
      titles({ 'x.repair-plan.yaml': lines.replace('operations:', 'operations: "'), ...files }).join(),
    ).not.toMatch(/not yet billed/);
  });

  test('a procedure shows where it is used', () => {
    const workspace = sampleWorkspace();
    const [lens] = lenses(workspace, sampleUri('isolate.shop-procedure.yaml'));
    const users = Object.entries(samples()).filter(
      ([name, text]) => name.includes('.repair-plan.') && text.includes('isolate.shop-procedure.yaml'),
    );
    expect(lens!.title).toBe(`used by ${users.length} plans`);
    expect(lens!.places.length).toBeGreaterThanOrEqual(users.length);
  });
});

describe('hints', () => {
  const all = { order: true, duration: true, heat: true };
  const shown = (settings: Parameters<typeof hints>[4]): string[] => {
    const text = plan.replace('    after: [op10]\n', '');
    return hints(open(text), uri, 0, text.length, settings).map(
      ({ offset, label }) => text.slice(0, offset).split('\n').at(-1)!.trim().split(' ').at(-1)! + label,
    );
  };
  test('are off by default', () => expect(shown({})).toEqual([]));
  test('say minutes, the step that is waited for, and watts', () => {
    // P = I²R: 300 A through 1 mΩ is 90 W (common practice, no source; any electricity text has the formula).
    expect(shown(all)).toEqual([
      'A ≈ 90 W at the limit of 1 mΩ',
      'mΩ ≈ 90 W at 300 A',
      'h = 18 min',
      'op20 after op10',
    ]);
  });
  test('give the mean heat of a duty cycle', () => {
    // 500 A a tenth of the time, else nothing, in 1 mΩ: 25 W (Erickson and Maksimović, app. A).
    const cycle = 'duty-cycle: [{ current: 500 A, time: 1 s }, { current: 0 A, time: 9 s }]';
    const text = plan.replace('steady: 300 A', cycle);
    const labels = hints(open(text), uri, 0, text.length, { heat: true }).map(({ label }) => label);
    expect(labels.sort()).toEqual([' ≈ 25 W as mean of the cycle', ' ≈ 25 W as mean, at the limit of 1 mΩ']);
  });
  test('say of every figure of heat that it is an estimate', () => {
    const found = hints(open(plan), uri, 0, plan.length, { heat: true });
    expect(found.length).toBeGreaterThan(1);
    for (const { tooltip } of found) expect(tooltip).toMatch(/estimate.*not a measurement.*maker's limit/);
  });
});

describe('tidying', () => {
  const tidy = (text: string): string => {
    const workspace = open(text);
    return applyEdits(text, format(workspace, uri));
  };
  test.each([
    [
      'blanks at line ends go',
      'plan: X  \noperations: []\t\n# a comment \n',
      'plan: X\noperations: []\n# a comment\n',
    ],
    ['the file ends with one line break', 'plan: X\noperations: []\n\n\n', 'plan: X\noperations: []\n'],
    ['a line break is added', 'plan: X\noperations: []', 'plan: X\noperations: []\n'],
    ['the breaks of another system stay', 'plan: X \r\noperations: []', 'plan: X\r\noperations: []\r\n'],
    [
      'free text is content',
      'plan: X\noperations: []\nnote: |\n  a  \n  b\n',
      'plan: X\noperations: []\nnote: |\n  a  \n  b\n',
    ],
    ['a text that is not closed stays', "plan: X \nnote: 'a  \n", "plan: X \nnote: 'a  \n"],
  ])('%s', (_, before, after) => {
    expect(tidy(before)).toBe(after);
    expect(tidy(after)).toBe(after);
  });
  test('the samples are already formatted', () => {
    for (const name of Object.keys(samples())) expect(format(sampleWorkspace(), sampleUri(name))).toEqual([]);
  });
});

test('a new plan is valid, uses the shop files of its folder, and lacks only its steps', () => {
  const workspace = sampleWorkspace();
  const text = plainText(newFile(workspace, 'repair-plan', '0148', sampleUri('').slice(0, -1)));
  const own = sampleUri('new.repair-plan.yaml');
  workspace.set(own, text);
  const read = workspace.plan(own)!;
  expect(read.document.problems).toEqual([]);
  expect(read.document.mistakes.map(({ path }) => path.join('.'))).toEqual(['operations']);
  expect(read.root!.get('plan')!.value).toBe('0148');
  expect(read.scope.unresolved).toEqual([]);
  expect(read.scope.rateSheet).toBeDefined();
  expect(read.scope.procedures.size).toBe(
    Object.keys(samples()).filter((name) => name.includes('.shop-procedure.')).length,
  );
});

test.each([
  ['repair-plan', 'X-1', 'operations'],
  ['shop-procedure', 'isolate', 'operations'],
  ['connector-list', 'kestrel', 'connectors'],
  ['rate-sheet', 'harbour-lane', 'rates'],
] as const)('a new %s has no fault, and says which section is still empty', (kind, name, section) => {
  const uri = `file:///new/one.${kind}.yaml`;
  const workspace = workspaceOf({ [`one.${kind}.yaml`]: '' }, 'file:///new/');
  workspace.set(uri, plainText(newFile(workspace, kind, name, 'file:///new')));
  const told = check(workspace, uri).map(({ finding, severity, message }) => ({
    finding,
    severity,
    message,
  }));
  expect(told).toEqual([
    { finding: 'value-wrong', severity: 'information', message: expect.stringContaining(`\`${section}:\``) },
  ]);
  // Unfinished is not clean.
  expect(status(workspace, uri)!.text).toBe('1 finding, not fully checked');
});

describe('descriptions', () => {
  test.each([
    // 125 °C = 257 °F and 140 °F = 60 °C: exact by the definition of the Fahrenheit scale, °F = 9/5 °C + 32.
    ['temperature', '125 °C', '125 °C (257 °F)'],
    ['temperature', '140 °F', '140 °F (60 °C)'],
    ['time', '0.3 h', '0.3 h (18 min)'],
    ['time', '90 min', '90 min (1.5 h)'],
    ['current', '180 A', '180 A'],
    ['voltage', '400\t V', '400 V'],
  ] as const)('%s %s', (name, written, said) => expect(String(inBothUnits(name, written))).toBe(said));

  test.each([
    ['a key', 'op20\n    d▮o: cover', '**do** · The task that is done.'],
    ['a connector', 'connectors: [▮inverter-dc], time', 'high-voltage power connector, in rear-floor'],
    ['a task', 'do: ▮cover', 'Produces knocks in its zone'],
    ['a quantity', 'time: ▮0.3 h', '**0.3 h (18 min)**'],
    ['a consumable', 'using: du▮mmy-plug', 'Not billed on the estimate'],
    ['an operation', 'after: [op▮10]', 'It waits for no other step.'],
  ])('%s', (_, marked, said) => {
    const text = plan.replace(marked.replace('▮', ''), marked);
    expect(text).toContain('▮');
    const { workspace, offset } = at(text);
    expect(String(describeAt(workspace, uri, offset)?.words)).toContain(said);
  });

  test('the caution stands above the facts where they could lead a hand to a live part', () => {
    const said = (marked: string): string | undefined => {
      const { workspace, offset } = at(plan.replace(marked.replace('▮', ''), marked));
      return String(describeAt(workspace, uri, offset)?.words).split('\n\n')[1];
    };
    expect(said('connectors: [▮inverter-dc], time')).toBe(`*${caution}*`);
    expect(said('after: [op▮10]')).toBe(`*${caution}*`);
    expect(said('zone: ▮rear-floor')).not.toContain(caution);
  });

  test('every key of the language has a description and an example', () => {
    const visit = (path: (string | undefined)[]): void => {
      const schema = schemaAt('repair-plan', path)!;
      for (const key of Object.keys(schema.properties ?? {})) {
        expect(String(describeKey('repair-plan', [...path, key]))).toMatch(
          /^\*\*.*\*\* · .+[\s\S]*```yaml\n/,
        );
        visit([...path, key]);
      }
      if (schema.items) visit([...path, undefined]);
    };
    visit([]);
  });
});
