import { billOf } from '../../costing/bill.ts';
import { mapsIn } from '../../document/node.ts';
import { findingById } from '../../findings/registry.ts';
import { andList, say, someOf } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import { judgedDay } from '../../plan/judged.ts';
import type { Plan } from '../../plan/plan.ts';
import { sequenceOf } from '../../sequence/lives.ts';
import { scheduleOf } from '../../sequence/critical-path.ts';
import { severities } from '../../base/severities.ts';
import { lineColumnRange } from '../listing/listing.ts';
import type { ListedFinding, Severity, Sources } from '../listing/listing.ts';
import { acceptances } from './acceptances.ts';
import { heatSection } from './heat-section.ts';
import { html, withCode } from './html.ts';
import type { Content, Markup } from './html.ts';
import { planFields, section, printPage, sign } from './page.ts';
import type { PrintOptions } from './page.ts';
import { bothLayouts } from './layouts.ts';
import { signatureTable } from './tables.ts';
import { distinctSteps, timelinePicture } from './timeline.ts';
import { plural, headOf, linesText, moneyText, roleTitle, timeText } from './words.ts';

/** A file that was checked, with what was found in it. */
export interface Reviewed {
  readonly plan: Plan;
  readonly findings: readonly ListedFinding[];
}

export interface ReviewOptions extends PrintOptions {
  readonly sources: Sources;
  /** The name of a file as the reader knows it. */
  readonly name: (uri: string) => string;
}

/** One plan for the reviewer: all findings with how the plan gets there, the time line, heat, acceptances, sign-offs. */
export function review(reviewed: Reviewed, options: ReviewOptions): string {
  const { plan, findings } = reviewed;
  const head = headOf(plan);
  const counts = countsOf(findings);
  const heat = heatSection(plan);
  const body = html`${planFields(head, [
    [say`File`, options.name(plan.document.uri), 3],
    [say`Checked as of`, judgedWords(plan, options.today), 2],
  ])}${verdict(counts)}${findingsSection(findings, plan, options)}${acceptances(plan, judgedDay(plan, options.today)!)}${atStake(plan)}${timeSection(plan)}${signOffs(plan, heat === undefined)}${heat}`;
  return printPage(
    { kind: say`Review`, number: head.number, title: head.title, body, cautionFirst: true },
    options,
  );
}

/** The day of the check, and that on which a finished plan is judged. */
function judgedWords(plan: Plan, today: string): Value {
  const judged = judgedDay(plan, today)!;
  return judged === today ? today : say`${today}; sources and acceptances as of ${judged}`;
}

export type SeverityCounts = Readonly<Record<Severity, number>>;

export function countsOf(findings: readonly ListedFinding[]): SeverityCounts {
  const counts = { error: 0, warning: 0, information: 0 };
  for (const { severity } of findings) counts[severity]++;
  return counts;
}

export const errorsText = (count: number): Phrase => plural(count, say`1 error`, say`${count} errors`);
export const warningsText = (count: number): Phrase => plural(count, say`1 warning`, say`${count} warnings`);

function verdict({ error, warning, information }: SeverityCounts): Markup {
  const words = [
    error > 0 ? [errorsText(error)] : [],
    warning > 0 ? [warningsText(warning)] : [],
    information > 0 ? [say`${information} for information`] : [],
  ].flat();
  if (words.length === 0) {
    return html`<div class="stop">
      <p>${say`No findings`}</p>
      <p>
        ${say`No findings in the text. That does not mean that the vehicle is safe: the vehicle maker's procedure and a qualified technician decide.`}
      </p>
    </div>`;
  }
  return html`<div class="stop">
    <p class="warning">${sign('general')}<span>${andList(words)}</span></p>
    <p>
      ${error > 0 ? say`Do not work from this plan until the errors are resolved.` : say`To be read and settled or accepted before work starts.`}
    </p>
  </div>`;
}

const gradeWords: Readonly<Record<Severity, Phrase>> = {
  error: say`Error`,
  warning: say`Warning`,
  information: say`Information`,
};

function findingsSection(findings: readonly ListedFinding[], plan: Plan, options: ReviewOptions): Content {
  if (findings.length === 0) return undefined;
  const inOrder = severities.flatMap((grade) => findings.filter(({ severity }) => severity === grade));
  return section(
    say`Findings, most serious first`,
    inOrder.map((found) => findingBlock(found, plan.document.uri, options)),
  );
}

function findingBlock(found: ListedFinding, home: string, { sources, name }: ReviewOptions): Markup {
  const page = findingById.get(found.finding)?.page();
  const place = (range: ListedFinding['range']): Phrase => {
    const { line } = lineColumnRange(range, sources);
    return range.uri === home ? say`line ${line}` : say`${name(range.uri)}, line ${line}`;
  };
  const about = [found.operation, found.connector].filter((one) => one !== undefined).join(', ');
  return html`<article class="finding">
    <p class="line1">
      <span class="grade ${found.severity}">${gradeWords[found.severity]}</span
      ><span>${place(found.range)}</span>${about !== '' && html`<span>${about}</span>`}<span
        >${found.finding}</span
      >
    </p>
    <p class="key">${withCode(found.message)}</p>
    ${
      found.trace.length > 0 &&
      html`<ol>
        ${found.trace.map(({ message, range }) => html`<li>${withCode(message)} <span class="note">(${place(range)})</span></li>`)}
      </ol>`
    }${page && html`<p class="why">${withCode(page.why)} ${withCode(sourceText(page.source))}</p>`}
  </article>`;
}

/** Where a finding comes from, as a sentence. */
const sourceText = (source: Phrase): Phrase =>
  /[.!?]$/.test(String(source)) ? say`Source: ${source}` : say`Source: ${source}.`;

function timeSection(plan: Plan): Content {
  const schedule = scheduleOf(plan);
  const pictures = bothLayouts((layout) => timelinePicture(plan, { layout }));
  if (pictures === undefined || !schedule) {
    return section(
      say`Timeline`,
      html`<p>
        ${sequenceOf(plan).order.circle ? say`Steps wait for each other, so there is no order to draw.` : say`The plan has no steps.`}
      </p>`,
    );
  }
  const { finish, criticalPath, untimed, clashes } = schedule;
  return section(
    say`Timeline`,
    html`${pictures}
      ${
        finish > 0 &&
        html`<p class="note">
          ${say`Earliest finish ${timeText(finish)} after the start, along ${distinctSteps(criticalPath).join(' → ')}.`}
        </p>`
      }${
        untimed.length > 0 &&
        html`<p class="note">
          ${plural(
            untimed.length,
            say`One step gives no time and counts as zero: ${untimed[0]!.id}.`,
            say`${untimed.length} steps give no time and count as zero: ${someOf(
              untimed.map(({ id }) => id),
              12,
            )}.`,
          )}
        </p>`
      }${clashes.length > 0 && html`<p>${say`${clashWords(schedule)} Each person does one thing at a time, so the finish will be later.`}</p>`}
      <p class="note">
        ${say`Drawn at the earliest times the order allows. A connector is marked as exposed where dirt may reach it in some order the plan allows, even if not in this drawing.`}
      </p>`,
  );
}

function clashWords({ clashes }: NonNullable<ReturnType<typeof scheduleOf>>): Phrase {
  const words = clashes.map(
    ([a, b]) =>
      say`${a.operation.by?.value ?? ''} is needed in ${a.operation.id} and ${b.operation.id} at once`,
  );
  return say`${someOf(words, 4)}.`;
}

interface SignOff {
  readonly role: string;
  readonly name: string;
  readonly date: string;
}

function signed(plan: Plan): SignOff[] {
  return mapsIn(plan.root?.get('sign-offs')).flatMap((node) => {
    const role = node.get('role')?.value;
    return role === undefined
      ? []
      : [{ role, name: node.get('name')?.value ?? '', date: String(node.get('date')?.value ?? '') }];
  });
}

/** The roles that the shop requires and that have not signed. */
export function missingSignOffs(plan: Plan): string[] {
  const roles = signed(plan).map(({ role }) => role);
  return [...new Set(plan.scope.policy.signOffs)].filter((role) => !roles.includes(role as SignOff['role']));
}

/** @param last nothing follows: they have no page to themselves */
function signOffs(plan: Plan, last: boolean): Content {
  const name = html`<span class="mark">${say`missing`}</span>`;
  return section(
    say`Sign-offs`,
    signatureTable([
      ...signed(plan).map(({ role, ...rest }) => ({ ...rest, role: roleTitle(role) })),
      ...missingSignOffs(plan).map((role) => ({ role: roleTitle(role), name })),
      { role: say`reviewer of this print` },
    ]),
    last ? 'whole kept' : 'whole',
  );
}

function atStake(plan: Plan): Content {
  const { stake, sheet: prices } = billOf(plan);
  if (!stake || stake.labour.length + stake.materials.length === 0) return undefined;
  const worth = html`<b>${moneyText(stake.amount, prices)} ${prices.currency ?? ''}</b>`;
  return section(
    say`Not yet billed`,
    html`<p>${missingWorth(stake.labour.length + stake.materials.length, worth, stake.unpricedLines)}</p>`,
  );
}

function missingWorth(lines: number, worth: Value, open: number): Phrase {
  if (open === 0) {
    return plural(
      lines,
      say`1 line is missing: ${worth} before tax by the shop's own rate sheet. The estimate lists it.`,
      say`${lines} lines are missing: ${worth} before tax by the shop's own rate sheet. The estimate lists them.`,
    );
  }
  const unknown = linesText(open);
  return plural(
    lines,
    say`1 line is missing: ${worth} before tax by the shop's own rate sheet, and ${unknown} of unknown value. The estimate lists them.`,
    say`${lines} lines are missing: ${worth} before tax by the shop's own rate sheet, and ${unknown} of unknown value. The estimate lists them.`,
  );
}
