import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import formats from 'ajv-formats';
import fc from 'fast-check';
import stringWidth from 'string-width';
import { describe, expect, test } from 'vitest';
import { annotations } from '../../server/src/report/listing/annotations.ts';
import { fingerprints, fnv1a64 } from '../../server/src/report/listing/fingerprint.ts';
import { humanReport } from '../../server/src/report/listing/human.ts';
import type { HumanOptions } from '../../server/src/report/listing/human.ts';
import { jsonReport } from '../../server/src/report/listing/json.ts';
import { terminalPage } from '../../server/src/report/listing/page.ts';
import { printable } from '../../server/src/report/listing/printable.ts';
import { sarifReport } from '../../server/src/report/listing/sarif.ts';
import { isSingleWidth, textWidth } from '../../server/src/report/listing/text-width.ts';
import { example, list, listingOf, plan } from './listing.ts';

const name = (uri: string): string => decodeURIComponent(uri.replace('file:///shop/', ''));
const plain: HumanOptions = {
  width: 72,
  paint: (_, text) => text,
  name,
  title: () => undefined,
  caution: 'Take care.',
};

describe('for a person', () => {
  test('each finding with its position, its excerpt and its trace', () => {
    expect(humanReport(example, plain)).toBe(`\
plans/HL 0147#b.repair-plan.yaml ───────────────────────────────────────

  error  3:46  bare-connector
    inverter-dc is opened by op20 and never covered before op40 grinds
    beside it. Cover both halves first.
    3 │   - { id: op20, do: disconnect, connectors: [inverter-dc] }
      │                                              ▔▔▔▔▔▔▔▔▔▔▔
    ↳ line 4: op40 grinds in motor-bay
    ↳ lists/kestrel.connector-list.yaml line 4: inverter-dc lies in
      motor-bay

  warning  5:63  labour-missing
    op50 has no labour line. It is 50 % of the work: charge it, once.
    5 │ …note: '😀 50 % done, wait: 5 min', connectors: [inverter-dc] }
      │                                     ▔▔▔▔▔▔▔▔▔▔▔▔▔▔▔▔▔▔▔▔▔▔▔▔▔

  information  2:1  unused-id
    Nothing uses this plan.
    2 │ operations:
      │ ▔▔▔▔▔▔▔▔▔▔▔

Take care.

2 files checked: 1 error, 1 warning, 1 information. 1 could not be checked.
`);
  });

  test('quiet shows only errors and warnings; statistics count', () => {
    const quiet = humanReport(example, { ...plain, only: 'warning' });
    expect(quiet).toContain('labour-missing');
    expect(quiet).not.toMatch(/unused-id|checked/);
    expect(humanReport(example, { ...plain, statistics: true, title: (id) => `About ${id}` })).toContain(
      '  1 × bare-connector  About bare-connector\n  1 × labour-missing  About labour-missing\n',
    );
    expect(humanReport(listingOf({ [list]: '' }, { [list]: [] }), plain)).toBe(
      '1 file checked: no findings.\n',
    );
    expect(humanReport(listingOf({}, {}, example.unread), plain)).toBe(
      'No file was checked. 1 could not be checked.\n',
    );
  });

  test('for any plan text: no control character, no bidirectional override, no line wider than the terminal', () => {
    const nasty = fc.string({
      unit: fc.oneof(
        fc.constantFrom(
          '\u001b[31m',
          '\u0007',
          '\r',
          '\u202e',
          '\u200b',
          '\u2028',
          '\ud83d',
          '\t',
          '漢',
          '😀',
          'é',
          ' ',
          '::',
        ),
        fc.string({ unit: 'binary', minLength: 1, maxLength: 3 }),
      ),
      maxLength: 60,
    });
    fc.assert(
      fc.property(nasty, nasty, nasty, fc.integer({ min: 40, max: 110 }), (before, about, after, width) => {
        const text = `${before}${about}${after}`;
        const range = { uri: plan, start: before.length, end: before.length + about.length };
        const listing = listingOf({ [plan]: text }, { [plan]: [] });
        const found = {
          finding: 'exposed',
          severity: 'error' as const,
          message: text,
          range,
          trace: [{ message: text, range }],
        };
        const report = humanReport(
          { ...listing, files: [{ uri: plan, findings: [found] }] },
          { ...plain, width },
        );
        expect(report.replaceAll('\n', '')).not.toMatch(
          /[\p{Cc}\u202a-\u202e\u2066-\u2069\u200b\u2028\u2029]|\p{Cs}/u,
        );
        const excerpt = report.split('\n').filter((line) => /^ +\d* │/.test(line));
        for (const line of excerpt) expect(stringWidth(line)).toBeLessThanOrEqual(width);
      }),
    );
  });

  test('the bar is under the text, also after wide characters and in a shortened line', () => {
    for (const before of [
      '',
      '漢字 ',
      '😀😀 ',
      '\t\u001b ',
      'x'.repeat(300),
      '漢'.repeat(200),
      '😀'.repeat(199),
    ]) {
      const text = `${before}HERE${' and on'.repeat(60)}`;
      const report = humanReport(
        listingOf(
          { [plan]: text },
          { [plan]: [{ finding: 'exposed', severity: 'error', message: '-', mark: { about: 'HERE' } }] },
        ),
        plain,
      );
      const [shown, bar] = report.split('\n').filter((line) => line.includes('│'));
      expect(stringWidth(shown!.slice(0, shown!.indexOf('HERE')))).toBe(bar!.indexOf('▔'));
      expect(bar!.trimEnd()).toMatch(/[^▔]▔{4}$/);
    }
  });

  test('text reported as single-width takes one column per character (string-width, Intl.Segmenter)', () => {
    const all = Array.from({ length: 0x10000 }, (_, unit) => String.fromCharCode(unit)).filter(isSingleWidth);
    const segmenter = new Intl.Segmenter();
    expect(all.length).toBeGreaterThan(900);
    for (const one of all) expect(stringWidth(one), one).toBe(1);
    for (const text of [...all, ...all.toReversed()].map((one, i, both) => one + (both[i + 1] ?? one)))
      expect([...segmenter.segment(text)], text).toHaveLength(2);
  });

  test('every character can be measured, alone and followed by a combining mark', () => {
    const assigned = Array.from({ length: 0x110000 }, (_, code) => code).filter((code) =>
      /\p{Assigned}/u.test(String.fromCodePoint(code)),
    );
    const widths = assigned.flatMap((code) => {
      const one = String.fromCodePoint(code);
      return [textWidth(one), /\p{Cf}/u.test(one) ? textWidth(`${one}\u1752`) : 0];
    });
    expect(widths.every((width) => width >= 0)).toBe(true);
  });

  test('an escape shows what is there', () => {
    expect(printable('a\u001b[1mb\u202ec\td\ud800😀')).toBe('a\\u001b[1mb\\u202ec  d\\ud800😀');
  });
});

test('a page of Markdown on a terminal', () => {
  const page = [
    '# Bare connector',
    '',
    'A connector that is **open** and `uncovered` meets dust, see [the standard](https://example.org/s).',
    '',
    '- one that is long enough to be wrapped here',
    '- two',
    '',
    '```yaml',
    '- { id: op20 }   # kept   as it is, however long the line may be in the end',
    '```',
    '---',
    '> said by',
    '> someone',
  ].join('\n');
  expect(terminalPage(page, { width: 40, paint: (_, text) => text })).toBe(`\
Bare connector

A connector that is open and \`uncovered\`
meets dust, see the standard
(https://example.org/s).

• one that is long enough to be wrapped
  here
• two

    - { id: op20 }   # kept   as it is, however long the line may be in the end
────────────────────────────────────────
│ said by someone
`);
});

test('a page in a terminal sets tables in columns, breaks lines and takes escapes for what they stand for', () => {
  const page = [
    '**a\\_b**  ',
    'by *hand* \\*',
    '',
    '| what | much |',
    '| :-- | --: |',
    '| a \\| b | 5 W |',
    '| **µ** | 0.5 mΩ |',
  ].join('\n');
  const paint = (role: string, text: string): string => `<${role}>${text}</>`;
  expect(terminalPage(page, { width: 40, paint: (_, text) => text })).toBe(`\
a_b
by hand *

what     much
a | b     5 W
µ      0.5 mΩ
`);
  expect(terminalPage(page, { width: 40, paint })).toMatch(/^<strong>a_b<\/>\nby <quiet>hand<\/> \*\n/);
});

describe('JSON', () => {
  test('has the promised shape', () => {
    const report: unknown = JSON.parse(jsonReport(example, { version: '1.2.3', name }));
    expect(report).toMatchObject({
      tool: { name: 'plugward', version: '1.2.3' },
      format: 1,
      findings: [
        {
          finding: 'bare-connector',
          severity: 'error',
          file: 'plans/HL 0147#b.repair-plan.yaml',
          // Counted by hand: 13 + 2 and 11 + 2 characters of the lines before, then 45 of line 3.
          start: { line: 3, column: 46, offset: 73 },
          end: { line: 3, column: 57, offset: 84 },
          operation: 'op20',
          connector: 'inverter-dc',
          trace: [
            { message: 'op40 grinds in motor-bay', start: { line: 4, column: 11 } },
            { file: 'lists/kestrel.connector-list.yaml', start: { line: 4, column: 5 } },
          ],
        },
        { finding: 'labour-missing', trace: [] },
        { finding: 'unused-id', start: { line: 2, column: 1 }, end: { line: 3, column: 15 } },
      ],
      unread: [{ file: 'plans/old.rate-sheet.yaml', reason: 'there is no such file' }],
      summary: {
        files: 2,
        errors: 1,
        warnings: 1,
        information: 1,
        unread: 1,
        byFinding: { 'bare-connector': 1, 'labour-missing': 1, 'unused-id': 1 },
      },
    });
  });
});

describe('annotations', () => {
  // Source: the workflow-command format of build servers (`::error file=…,line=…,col=…,title=…::message`), with
  // %25, %0D, %0A in data and also %3A, %2C in properties.
  test('one line per finding, escaped', () => {
    expect(annotations(example, { name }).split('\n')).toEqual([
      '::error file=plans/old.rate-sheet.yaml,title=not checked::there is no such file',
      '::error file=plans/HL 0147#b.repair-plan.yaml,line=3,endLine=3,col=46,endColumn=57,title=bare-connector::' +
        'inverter-dc is opened by op20 and never covered before op40 grinds beside it. Cover both halves first.' +
        '%0A↳ line 4: op40 grinds in motor-bay%0A↳ lists/kestrel.connector-list.yaml line 4: inverter-dc lies in motor-bay',
      '::warning file=plans/HL 0147#b.repair-plan.yaml,line=5,endLine=5,col=63,endColumn=88,title=labour-missing::' +
        'op50 has no labour line.%0AIt is 50 %25 of the work: charge it, once.',
      '::notice file=plans/HL 0147#b.repair-plan.yaml,line=2,endLine=3,title=unused-id::Nothing uses this plan.',
      '',
    ]);
  });

  test('a file name cannot smuggle in a property', () => {
    const listing = listingOf({ [plan]: 'x' }, {}, [{ uri: plan, reason: 'r' }]);
    expect(annotations(listing, { name: () => 'a,line=1::b\n::stop%' })).toBe(
      '::error file=a%2Cline=1%3A%3Ab%0A%3A%3Astop%25,title=not checked::r\n',
    );
  });
});

describe('SARIF', () => {
  const schema = JSON.parse(
    readFileSync(new URL('./sarif-schema-2.1.0.json', import.meta.url), 'utf8'),
  ) as object;
  const ajv = new Ajv2020({ strict: false, allErrors: true });
  formats.default(ajv);
  const valid = ajv.compile(schema);
  const rules = ['labour-missing', 'bare-connector', 'unused-id'].map((id) => ({
    id,
    title: `Title of ${id}`,
    means: `Meaning of ${id}.`,
    severity: 'warning' as const,
    page: `# ${id}\n\nPage.`,
  }));
  const log = (listing = example) =>
    JSON.parse(sarifReport(listing, { version: '1.2.3', rules, root: 'file:///shop/', exitCode: 2 }));

  test('keeps the OASIS schema', () => {
    expect(valid(log()), JSON.stringify(valid.errors)).toBe(true);
    expect(valid(log(listingOf({}, {})))).toBe(true);
    // The schema does refuse what is wrong.
    expect(valid({ ...log(), version: '2.0.0' })).toBe(false);
  });

  test('relative, encoded addresses; 1-based places; rules by index; the trace as related locations', () => {
    const run = log().runs[0];
    expect(run.columnKind).toBe('utf16CodeUnits');
    expect(run.originalUriBaseIds.SRCROOT.uri).toBe('file:///shop/');
    const [bare, labour] = run.results;
    expect(bare.locations[0].physicalLocation).toEqual({
      artifactLocation: { uri: 'plans/HL%200147%23b.repair-plan.yaml', uriBaseId: 'SRCROOT' },
      region: { startLine: 3, startColumn: 46, endLine: 3, endColumn: 57 },
    });
    expect(run.tool.driver.rules[bare.ruleIndex].id).toBe('bare-connector');
    expect(run.tool.driver.rules[bare.ruleIndex].help.markdown).toBe('# bare-connector\n\nPage.');
    expect(bare.relatedLocations.map((one: { message: { text: string } }) => one.message.text)).toEqual([
      'op40 grinds in motor-bay',
      'inverter-dc lies in motor-bay',
    ]);
    expect(labour.level).toBe('warning');
    // After an emoji, columns count UTF-16 code units.
    expect(labour.locations[0].physicalLocation.region.startColumn).toBe(63);
    expect(run.invocations[0]).toMatchObject({ executionSuccessful: false, exitCode: 2 });
  });

  test('a file outside the repository keeps its full address', () => {
    const other = 'file:///elsewhere/x.rate-sheet.yaml';
    const { runs } = log(listingOf({ [other]: 'x' }, { [other]: [] }));
    expect(runs[0].artifacts[0].location).toEqual({ uri: other });
  });
});

describe('fingerprints', () => {
  // Source: the published test vectors of FNV-1a, 64 bits (Noll; draft-eastlake-fnv, appendix C).
  test.each([
    ['', 'cbf29ce484222325'],
    ['a', 'af63dc4c8601ec8c'],
    ['foobar', '85944171f73967e8'],
  ])('FNV-1a of %j is %s', (text, hash) => {
    expect(fnv1a64(text)).toBe(hash);
  });

  const prints = (text: string): string[] => {
    const marks = [0, 1].map((nth) => ({
      finding: 'bare-connector',
      severity: 'error' as const,
      message: `said at ${text.length}`,
      mark: { about: /id: +op20/.exec(text)![0], nth },
      operation: 'op20',
    }));
    return [...fingerprints(listingOf({ [plan]: text }, { [plan]: marks })).values()];
  };

  test('are stable when lines move, distinct for identical findings, and change with the text', () => {
    const before = prints('- id: op20\n- id: op20\n');
    expect(new Set(before).size).toBe(2);
    expect(prints('# a new line\n\n  - id:  op20\n  - id:  op20\n')).toEqual(before);
    const other = listingOf(
      { [plan]: '- id: op20' },
      {
        [plan]: [{ finding: 'bare-connector', severity: 'error', message: '', mark: { about: 'id: op20' } }],
      },
    );
    expect(before).not.toContain([...fingerprints(other).values()][0]);
  });
});
