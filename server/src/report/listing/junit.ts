import { severities } from '../../base/severities.ts';
import { lineColumnRange } from './listing.ts';
import type { ListedFinding, ListedFile, ListingFormat, Severity, Sources } from './listing.ts';
import { notChecked } from './lines.ts';
import { printable } from './printable.ts';

interface JunitOptions {
  /** The name of a file as the reader knows it. */
  readonly name: (uri: string) => string;
  /** The mildest severity that is a failure. */
  readonly failOn: Severity;
}

/** Text in an element or attribute: nothing of it is markup, and every character is one that XML 1.0 allows (2.2). */
const xml = (text: string): string =>
  printable(text)
    .replaceAll(/[\ufffe\uffff]/g, (unit) => `\\u${unit.charCodeAt(0).toString(16)}`)
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;');

const attributes = (given: Readonly<Record<string, string | number>>): string =>
  Object.entries(given)
    .map(([key, value]) => ` ${key}="${xml(String(value))}"`)
    .join('');

/** Counts that the parts carry to the whole, since it is put together from texts alone. */
const counted = /^ {2}<testsuite [^>]* tests="(\d+)" failures="(\d+)" errors="0"/;

/**
 * JUnit's XML, as build servers read it (element and attribute names: junit-10.xsd of the Jenkins xUnit plugin, MIT). Each file is a
 * suite, each finding a case: a failure from `failOn` on, else passed with its text as output. A file without findings is one
 * case that passed, a file that could not be checked one with an error.
 */
export function junitPrintout({ name, failOn }: JunitOptions): ListingFormat {
  const failing = new Set(severities.slice(0, severities.indexOf(failOn) + 1));
  const testCase = (file: string, title: string, inside: string): string =>
    inside === ''
      ? `    <testcase${attributes({ name: title, classname: file })}/>\n`
      : `    <testcase${attributes({ name: title, classname: file })}>\n      ${inside}\n    </testcase>\n`;
  const suite = (file: string, tests: number, failures: number, errors: number, cases: string): string =>
    `  <testsuite${attributes({ name: file, tests, failures, errors })}>\n${cases}  </testsuite>\n`;
  const caseOf = (file: ListedFile, found: ListedFinding, sources: Sources): string => {
    const { finding, severity, message, range, trace } = found;
    const at = lineColumnRange(range, sources);
    const where = (one: ListedFinding['range']): string =>
      `${name(one.uri)}:${lineColumnRange(one, sources).line}`;
    const lines = [
      `${name(range.uri)}:${at.line}:${at.column}: ${severity}: ${message}`,
      ...trace.map((step) => `↳ ${where(step.range)}: ${step.message}`),
    ];
    const text = lines.map(xml).join('\n');
    return testCase(
      name(file.uri),
      `${finding}, line ${at.line}:${at.column}`,
      failing.has(severity)
        ? `<failure${attributes({ message, type: finding })}>${text}</failure>`
        : `<system-out>${text}</system-out>`,
    );
  };
  return {
    part(file, sources) {
      const { findings } = file;
      const failures = findings.filter(({ severity }) => failing.has(severity)).length;
      const cases =
        findings.length === 0
          ? testCase(name(file.uri), 'no findings', '')
          : findings.map((found) => caseOf(file, found, sources)).join('');
      return suite(name(file.uri), Math.max(1, findings.length), failures, 0, cases);
    },
    whole(files, { unread }) {
      const suites = [
        ...unread.map(({ uri, reason }) =>
          suite(
            name(uri),
            1,
            0,
            1,
            testCase(
              name(uri),
              notChecked,
              `<error${attributes({ message: reason, type: notChecked })}>${xml(reason)}</error>`,
            ),
          ),
        ),
        ...files.map(({ part }) => part),
      ];
      let tests = unread.length;
      let failures = 0;
      for (const { part } of files) {
        const [, all = '0', failed = '0'] = counted.exec(part) ?? [];
        tests += Number(all);
        failures += Number(failed);
      }
      const totals = attributes({ name: 'plugward', tests, failures, errors: unread.length });
      return `<?xml version="1.0" encoding="UTF-8"?>\n<testsuites${totals}>\n${suites.join('')}</testsuites>\n`;
    },
  };
}
