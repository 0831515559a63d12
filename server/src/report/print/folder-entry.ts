/** What the review of a folder keeps of each file. */
import type Big from 'big.js';
import { billOf } from '../../costing/bill.ts';
import { languageOf } from '../../language/language.ts';
import { say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import { judgedDay } from '../../plan/judged.ts';
import { severities } from '../../base/severities.ts';
import { lineColumnRange } from '../listing/listing.ts';
import type { Severity } from '../listing/listing.ts';
import { html, withCode } from './html.ts';
import type { Content } from './html.ts';
import { acceptanceRows, holds } from './acceptances.ts';
import { countsOf, missingSignOffs } from './review.ts';
import type { Reviewed, ReviewOptions, SeverityCounts } from './review.ts';
import { typeset } from './typeset.ts';
import { headOf } from './words.ts';

/** What is kept in memory per file until all have been read: a few numbers and names, no text. */
export interface FolderEntry {
  readonly isPlan: boolean;
  readonly number: string;
  readonly title: string;
  readonly file: string;
  readonly counts: SeverityCounts;
  /** How often each finding occurs, at its gravest grade. */
  readonly findings: readonly { readonly id: string; readonly grade: Severity; readonly count: number }[];
  readonly stake: { readonly amount: Big; readonly currency: string; readonly decimals: number } | undefined;
  /** Missing lines of unknown value. */
  readonly open: number;
  readonly missingRoles: readonly string[];
  readonly accepted: { readonly all: number; readonly runOut: number };
}

/** The long fragments of the page for one file, rendered; spooled until they are written. */
export interface FolderTexts {
  readonly acceptances: string;
  readonly details: string;
}

/** One file's part of `folderPage`. Computed while the file is loaded; it retains nothing of it. */
export function folderEntry(
  reviewed: Reviewed,
  options: ReviewOptions,
): { readonly entry: FolderEntry; readonly texts: FolderTexts } {
  const { plan, findings } = reviewed;
  const isPlan = plan.document.kind === 'repair-plan';
  const head = headOf(plan);
  const judged = judgedDay(plan, options.today)!;
  const { stake, sheet: prices } = isPlan ? billOf(plan) : { stake: undefined, sheet: undefined };
  const { currency, decimals } = prices ?? {};
  const kinds = new Map<string, { id: string; grade: Severity; count: number }>();
  for (const { finding: id, severity } of findings) {
    const known = kinds.get(id);
    if (!known) kinds.set(id, { id, grade: severity, count: 1 });
    else {
      known.count++;
      if (severities.indexOf(severity) < severities.indexOf(known.grade)) known.grade = severity;
    }
  }
  const language = languageOf(options.language);
  return {
    entry: {
      isPlan,
      number: detached(head.number),
      title: detached(head.title),
      file: detached(options.name(plan.document.uri)),
      counts: countsOf(findings),
      findings: [...kinds.values()],
      stake:
        stake && currency !== undefined && decimals !== undefined
          ? { amount: stake.amount, currency: detached(currency), decimals }
          : undefined,
      open: stake?.unpricedLines ?? 0,
      missingRoles: isPlan ? missingSignOffs(plan).map(detached) : [],
      accepted: {
        all: plan.accepted.length,
        runOut: plan.accepted.filter(({ until }) => !holds(until?.value, judged)).length,
      },
    },
    texts: {
      acceptances: isPlan
        ? typeset(html`${acceptanceRows(plan, judged, head.number)}`.in(language), language)
        : '',
      details: typeset(html`${findingTable(reviewed, options)}`.in(language), language),
    },
  };
}

/** Copies a string by encoding and decoding it: a V8 slice would keep its source text alive. */
const detached = (text: string): string => new TextDecoder().decode(new TextEncoder().encode(text));

export const grades: Readonly<Record<Severity, Phrase>> = {
  error: say`error`,
  warning: say`warning`,
  information: say`information`,
};

function findingTable({ plan, findings }: Reviewed, { sources, name }: ReviewOptions): Content {
  const inOrder = severities.flatMap((grade) => findings.filter(({ severity }) => severity === grade));
  return (
    findings.length > 0 &&
    html`<table>
      <thead>
        <tr>
          <th scope="col">${say`Severity`}</th>
          <th scope="col">${say`Place`}</th>
          <th scope="col">${say`Finding`}</th>
        </tr>
      </thead>
      <tbody>
        ${inOrder.map(
          ({ severity, range, message, finding }) =>
            html`<tr>
              <td class="nowrap ${severity === 'error' ? 'key' : ''}">${grades[severity]}</td>
              <td class="nowrap">
                ${range.uri === plan.document.uri ? '' : `${name(range.uri)} `}${say`line ${lineColumnRange(range, sources).line}`}
              </td>
              <td>${withCode(message)} <span class="note">${finding}</span></td>
            </tr>`,
        )}
      </tbody>
    </table>`
  );
}
