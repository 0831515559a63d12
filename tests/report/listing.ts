import { LineIndex } from '../../server/src/text/line-index.ts';
import { Rope } from '../../server/src/text/rope.ts';
import type { ListedFinding, Listing, Severity } from '../../server/src/report/listing/listing.ts';

interface Mark {
  /** The text the finding is about, found in the file; `at` picks its nth occurrence, from 0. */
  readonly about: string;
  readonly nth?: number;
  readonly in?: string;
}

export interface Written {
  readonly finding: string;
  readonly severity: Severity;
  readonly message: string;
  readonly mark: Mark;
  readonly trace?: readonly { readonly message: string; readonly mark: Mark }[];
  readonly operation?: string;
  readonly connector?: string;
}

/** A listing made of texts and of findings that point at words in them. */
export function listingOf(
  texts: Readonly<Record<string, string>>,
  findings: Readonly<Record<string, readonly Written[]>>,
  unread: Listing['unread'] = [],
): Listing {
  const rangeOf = (uri: string, { about, nth = 0, in: other = uri }: Mark) => {
    let start = texts[other]!.indexOf(about);
    for (let i = 0; i < nth; i++) start = texts[other]!.indexOf(about, start + 1);
    if (start < 0) throw new Error(`'${about}' is not in ${other}`);
    return { uri: other, start, end: start + about.length };
  };
  return {
    files: Object.entries(findings).map(([uri, written]) => ({
      uri,
      findings: written.map(({ mark, trace = [], ...rest }): ListedFinding => ({
        ...rest,
        range: rangeOf(uri, mark),
        trace: trace.map((step) => ({ message: step.message, range: rangeOf(uri, step.mark) })),
      })),
    })),
    unread,
    sources: {
      text: (uri) => texts[uri],
      lines: (uri) => (texts[uri] === undefined ? undefined : new LineIndex(Rope.of(texts[uri]))),
    },
  };
}

export const plan = 'file:///shop/plans/HL%200147%23b.repair-plan.yaml';
export const list = 'file:///shop/lists/kestrel.connector-list.yaml';

/** A plan and a list with one finding of each severity; used by the tests of all printouts. */
export const example: Listing = listingOf(
  {
    [plan]: [
      'plan: HL-0147',
      'operations:',
      '  - { id: op20, do: disconnect, connectors: [inverter-dc] }',
      '  - { id: op40, do: grind, zone: motor-bay }',
      "  - { id: op50, do: clean, note: '😀 50 % done, wait: 5 min', connectors: [inverter-dc] }",
      '',
    ].join('\r\n'),
    [list]: 'connector-list: Kestrel\nconnectors:\n  - id: inverter-dc\n    zone: motor-bay\n',
  },
  {
    [plan]: [
      {
        finding: 'bare-connector',
        severity: 'error',
        message:
          'inverter-dc is opened by op20 and never covered before op40 grinds beside it. Cover both halves first.',
        mark: { about: 'inverter-dc' },
        trace: [
          { message: 'op40 grinds in motor-bay', mark: { about: 'op40' } },
          { message: 'inverter-dc lies in motor-bay', mark: { about: 'zone: motor-bay', in: list } },
        ],
        operation: 'op20',
        connector: 'inverter-dc',
      },
      {
        finding: 'labour-missing',
        severity: 'warning',
        message: 'op50 has no labour line.\nIt is 50 % of the work: charge it, once.',
        mark: { about: 'connectors: [inverter-dc]', nth: 1 },
        operation: 'op50',
      },
      {
        finding: 'unused-id',
        severity: 'information',
        message: 'Nothing uses this plan.',
        mark: { about: 'operations:\r\n  - { id: op20' },
      },
    ],
    [list]: [],
  },
  [{ uri: 'file:///shop/plans/old.rate-sheet.yaml', reason: 'there is no such file' }],
);
