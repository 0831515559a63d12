import fc from 'fast-check';
import { SaxesParser } from 'saxes';
import { describe, expect, test } from 'vitest';
import { codeQualityPrintout } from '../../server/src/report/listing/code-quality.ts';
import { junitPrintout } from '../../server/src/report/listing/junit.ts';
import { linesPrintout } from '../../server/src/report/listing/lines.ts';
import { formatListing } from '../../server/src/report/listing/listing.ts';
import type { Listing, Severity } from '../../server/src/report/listing/listing.ts';
import { faultsOfTerminal } from '../hardening/outputs.ts';
import { example, list, listingOf, plan } from './listing.ts';

const name = (uri: string): string => decodeURIComponent(uri.replace('file:///shop/', ''));
const file = 'plans/HL 0147#b.repair-plan.yaml';

describe('one line a finding', () => {
  const lines = (listing: Listing, only?: Severity) => formatListing(linesPrintout({ name, only }), listing);

  test('with its place, severity and id, what could not be read first', () => {
    const [unread, ...rest] = lines(example).trimEnd().split('\n');
    expect(unread).toMatch(/^[^:]+:1:1: error not-checked: .+$/);
    expect(rest).toEqual([
      `${file}:3:46: error bare-connector: inverter-dc is opened by op20 and never covered before op40 grinds beside it. Cover both halves first.`,
      `${file}:5:63: warning labour-missing: op50 has no labour line. It is 50 % of the work: charge it, once.`,
      `${file}:2:1: information unused-id: Nothing uses this plan.`,
    ]);
  });

  test('quiet leaves out what is milder, never what could not be read', () => {
    expect(lines(example, 'error').match(/^.*?:\d+:\d+: \w+/gm)).toHaveLength(2);
  });
});

/** What the report of a hostile name and a hostile message must never do, in each of the formats. */
const hostile = fc.oneof(
  fc.string({ unit: 'binary', maxLength: 30 }),
  fc.constantFrom(
    '"><error/>',
    ']]>',
    '&#0;',
    'a\nb:1:1: error x: y',
    '\u0000\u001b[31m\u202e',
    '\ud800',
    '\ufffe\uffff',
    '-->',
  ),
);
const spoilt = fc
  .record({ name: hostile, message: hostile, reason: hostile })
  .map(({ name: title, message, reason }) => ({
    title,
    listing: listingOf(
      { [plan]: 'plan: x\n', [list]: 'connector-list: y\n' },
      {
        [plan]: [{ finding: 'f-one', severity: 'error', message, mark: { about: 'plan' } }],
        [list]: [],
      },
      [{ uri: 'file:///shop/gone', reason }],
    ),
  }));
const runs = { numRuns: 500, seed: 20281128 };

test('a name or message breaks no line of the lines', () => {
  fc.assert(
    fc.property(spoilt, ({ title, listing }) => {
      const text = formatListing(linesPrintout({ name: () => title }), listing);
      expect(faultsOfTerminal(text)).toEqual([]);
      expect(text.match(/\n/g)).toHaveLength(2);
    }),
    runs,
  );
});

interface Element {
  readonly tag: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly inside: Element[];
  text: string;
}

/** @throws where the text is no well-formed XML 1.0 (saxes is strict). */
function parseXml(text: string): Element {
  const root: Element = { tag: '', attributes: {}, inside: [], text: '' };
  const open = [root];
  const parser = new SaxesParser();
  parser.on('error', (error) => {
    throw error;
  });
  parser.on('opentag', ({ name: tag, attributes }) => {
    const element: Element = { tag, attributes: attributes as Record<string, string>, inside: [], text: '' };
    open.at(-1)!.inside.push(element);
    open.push(element);
  });
  parser.on('closetag', () => void open.pop());
  parser.on('text', (words) => (open.at(-1)!.text += words));
  parser.write(text).close();
  expect(root.inside).toHaveLength(1);
  return root.inside[0]!;
}

/**
 * What may stand where, of what is used here: junit-10.xsd of the Jenkins xUnit plugin (MIT; from memory, and the description at
 * github.com/testmoapp/junitxml).
 */
const structure: Readonly<
  Record<
    string,
    { readonly needs: readonly string[]; readonly may: readonly string[]; readonly holds: readonly string[] }
  >
> = {
  testsuites: { needs: [], may: ['name', 'tests', 'failures', 'errors'], holds: ['testsuite'] },
  testsuite: { needs: ['name', 'tests'], may: ['failures', 'errors'], holds: ['testcase'] },
  testcase: { needs: ['name'], may: ['classname'], holds: ['failure', 'error', 'system-out'] },
  failure: { needs: [], may: ['message', 'type'], holds: [] },
  error: { needs: [], may: ['message', 'type'], holds: [] },
  'system-out': { needs: [], may: [], holds: [] },
};

function all(element: Element, tag: string): Element[] {
  return [...(element.tag === tag ? [element] : []), ...element.inside.flatMap((one) => all(one, tag))];
}

function checkStructure(element: Element): void {
  const { needs, may, holds } = structure[element.tag]!;
  expect(Object.keys(element.attributes)).toEqual(expect.arrayContaining([...needs]));
  expect([...needs, ...may]).toEqual(expect.arrayContaining(Object.keys(element.attributes)));
  if (holds.length > 0) expect(element.text.trim()).toBe('');
  for (const one of element.inside) {
    expect(holds).toContain(one.tag);
    checkStructure(one);
  }
  if (element.tag === 'testsuites' || element.tag === 'testsuite') {
    expect({
      tests: Number(element.attributes['tests']),
      failures: Number(element.attributes['failures']),
      errors: Number(element.attributes['errors']),
    }).toEqual({
      tests: all(element, 'testcase').length,
      failures: all(element, 'failure').length,
      errors: all(element, 'error').length,
    });
  }
}

const junit = (listing: Listing, failOn: Severity = 'warning', nameOf = name): string =>
  formatListing(junitPrintout({ name: nameOf, failOn }), listing);

describe("JUnit's XML", () => {
  test('has a suite for each file, a case for each finding, an error for what could not be read', () => {
    const root = parseXml(junit(example));
    checkStructure(root);
    const suites = all(root, 'testsuite');
    expect(suites).toHaveLength(3);
    expect(all(suites[0]!, 'error')).toHaveLength(1);
    expect(
      all(suites[1]!, 'testcase').map((element) => [element.attributes['name'], element.inside[0]!.tag]),
    ).toEqual([
      ['bare-connector, line 3:46', 'failure'],
      ['labour-missing, line 5:63', 'failure'],
      ['unused-id, line 2:1', 'system-out'],
    ]);
    const [first] = all(suites[1]!, 'failure');
    expect(first!.attributes).toMatchObject({ type: 'bare-connector' });
    expect(first!.text).toContain(`↳ ${file}:4: op40 grinds in motor-bay`);
    // A file without findings is a case that passed.
    expect(
      all(suites[2]!, 'testcase').map((element) => [element.attributes['name'], element.inside]),
    ).toEqual([['no findings', []]]);
  });

  test.each<[Severity, number]>([
    ['error', 1],
    ['warning', 2],
    ['information', 3],
  ])('counts as failures what is %s or worse', (failOn, failures) => {
    const root = parseXml(junit(example, failOn));
    checkStructure(root);
    expect(root.attributes['failures']).toBe(String(failures));
  });

  test('is well-formed and of this structure, whatever names and messages hold', () => {
    fc.assert(
      fc.property(spoilt, ({ title, listing }) => {
        const text = junit(listing, 'warning', () => title);
        expect(faultsOfTerminal(text)).toEqual([]);
        const root = parseXml(text);
        checkStructure(root);
        expect(root.attributes).toMatchObject({ tests: '3', failures: '1', errors: '1' });
      }),
      runs,
    );
  });
});

/** Fields as documented: docs.gitlab.com/ci/testing/code_quality, "Code Quality report format". */
interface Issue {
  readonly description: string;
  readonly check_name: string;
  readonly fingerprint: string;
  readonly severity: string;
  readonly location: { readonly path: string; readonly lines: { readonly begin: number } };
}
const scale = ['info', 'minor', 'major', 'critical', 'blocker'];

function issuesOf(listing: Listing, nameOf = name): Issue[] {
  const text = formatListing(codeQualityPrintout({ name: nameOf }), listing);
  expect(faultsOfTerminal(text)).toEqual([]);
  // One array, without a byte-order mark.
  expect(text).toMatch(/^\[/);
  const issues = JSON.parse(text) as Issue[];
  for (const { description, check_name, fingerprint, severity, location } of issues) {
    for (const one of [description, check_name, fingerprint, location.path]) expect(one).toBeTypeOf('string');
    expect(scale).toContain(severity);
    expect(Number.isInteger(location.lines.begin) && location.lines.begin > 0).toBe(true);
  }
  expect(new Set(issues.map(({ fingerprint }) => fingerprint)).size).toBe(issues.length);
  return issues;
}

describe("GitLab's code quality report", () => {
  test('has an entry for each finding and for what could not be read', () => {
    expect(issuesOf(example).map((one) => [one.check_name, one.severity, one.location.lines.begin])).toEqual([
      ['not-checked', 'blocker', 1],
      ['bare-connector', 'critical', 3],
      ['labour-missing', 'minor', 5],
      ['unused-id', 'info', 2],
    ]);
    expect(issuesOf(example)[1]!.location.path).toBe(file);
  });

  test('is an empty array where nothing was found', () => {
    expect(issuesOf(listingOf({ [list]: 'a' }, { [list]: [] }))).toEqual([]);
  });

  test('tells the same finding in two files apart', () => {
    const found = [{ finding: 'f', severity: 'error', message: 'm', mark: { about: 'x' } }] as const;
    const twins = listingOf(
      { [plan]: 'x x', [list]: 'x x' },
      { [plan]: [...found, ...found], [list]: found },
    );
    expect(issuesOf(twins)).toHaveLength(3);
  });

  test('holds whatever a name or a message says as a text', () => {
    fc.assert(
      fc.property(spoilt, ({ title, listing }) => {
        const issues = issuesOf(listing, (uri) => (uri === plan ? title : name(uri)));
        expect(issues.map(({ location }) => location.path)).toContain(title);
      }),
      runs,
    );
  });
});
