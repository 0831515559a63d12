import type { Document } from '../document/document.ts';
import type { FindingReport, FixWays } from '../findings/finding.ts';
import { findingById } from '../findings/registry.ts';
import { memoByIdentity, slot } from '../incremental/memo.ts';
import { sameMembers } from '../incremental/query.ts';
import { languageOf } from '../language/language.ts';
import type { Language } from '../language/language.ts';
import { say } from '../language/phrase.ts';
import type { Plan } from '../plan/plan.ts';
import type { CheckSettings, ReportedSeverity } from '../plan/snapshot.ts';
import type { Rope } from '../text/rope.ts';
import { rangeOf } from '../text/span.ts';
import type { Range } from '../text/span.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { fixesOf, headOf, runFindings, shortly } from './run-findings.ts';
import type { GradedReport } from './run-findings.ts';

/** External input: the date, severities from the editor settings, and the language of messages. */
export interface Settings extends CheckSettings {
  /** Language tag for messages; English if absent. */
  readonly language?: string;
}

/** Settings as what is found with them can be kept under. A setting that is added must be added here. */
export function settingsKey({ today, severities, language, ...rest }: Settings): readonly unknown[] {
  rest satisfies Record<string, never>;
  const levels = Object.entries(severities ?? {}).sort(([a], [b]) => (a < b ? -1 : 1));
  return [today, levels, language];
}

/** How grave a finding is. */
export const ranks: Readonly<Record<ReportedSeverity, number>> = { information: 0, warning: 1, error: 2 };

/** A finding at a place, as every adapter shows it. */
export interface Diagnosis {
  readonly finding: string;
  readonly severity: ReportedSeverity;
  readonly message: string;
  readonly range: Range;
  readonly trace: readonly { readonly message: string; readonly range: Range }[];
  readonly operation?: string;
  readonly connector?: string;
  /** The connectors that it is about, where they are several. */
  readonly connectors?: readonly string[];
  /** Other steps for which it stands. */
  readonly also?: readonly string[];
  /** What is missing, and the steps that meet what it is about, as its report says. */
  readonly lacks?: readonly string[];
  readonly meets?: readonly string[];
}

/** A finding, its range in the current text, and its fixes. It is rendered when it is read. */
export interface FoundFinding {
  readonly severity: ReportedSeverity;
  /** Where it stands; the file is told by the diagnosis. Unit: UTF-16 code units. */
  readonly start: number;
  readonly end: number;
  readonly diagnosis: Diagnosis;
  /** Reports a failure of the checker: what it did not check is unknown. */
  readonly failed: boolean;
  /** How it can be mended in the plan in which it was found. Best first; computed when asked for. */
  fixes(plan: Plan): readonly FixWays[];
}

/** All findings of one file, in the order of the text, at one place the gravest first. Never throws. */
export function check(workspace: Workspace, uri: string, settings: Settings = {}): Diagnosis[] {
  return find(workspace, uri, settings).map(({ diagnosis }) => diagnosis);
}

interface Known {
  readonly language: Language | undefined;
  readonly texts: readonly Rope[];
  readonly found: readonly PlacedFinding[];
}
const known = slot<Plan, Known>();

/**
 * The same with their fixes. The same list as long as nothing of it has changed, places included: lenses, fixes and
 * clients that ask again are answered from it.
 */
export function find(workspace: Workspace, uri: string, settings: Settings = {}): readonly FoundFinding[] {
  try {
    return findIn(workspace, uri, settings);
  } catch (error) {
    // Nothing found and nothing looked for must not look alike.
    const document = workspace.document(uri);
    return document ? [new PlacedFinding(languageOf(settings.language), untold(document, error))] : [];
  }
}

function findIn(workspace: Workspace, uri: string, settings: Settings): readonly FoundFinding[] {
  const plan = workspace.plan(uri, settings);
  if (!plan) return [];
  const last = known.get(plan);
  const texts = textsOf(plan);
  const language = languageOf(settings.language);
  const same = last !== undefined && last.language === language;
  if (same && sameMembers(last.texts, texts)) return last.found;
  // If the plan is the same object, only positions have moved; reuse its findings.
  const found = same ? [...last.found] : runFindings(plan).map((told) => placed(told, language));
  // The report of a checker failure is always last.
  const failed = found.at(-1)?.told.failed;
  if (!areInOrder(found))
    found.sort((a, b) => a.start - b.start || a.end - b.end || ranks[b.severity] - ranks[a.severity]);
  // Do not cache a failed run, so that it is retried.
  if (!failed) known.set(plan, { language, texts, found });
  return found;
}

/** Usually true after a keystroke. Each offset is computed once here, since the getters recompute it. */
function areInOrder(found: readonly PlacedFinding[]): boolean {
  let [from, to, rank] = [-1, -1, 0];
  for (const { start, end, severity } of found) {
    const atOne = start === from && end === to;
    if (start < from || (start === from && end < to) || (atOne && ranks[severity] > rank)) return false;
    [from, to, rank] = [start, end, ranks[severity]];
  }
  return true;
}

class PlacedFinding implements FoundFinding {
  readonly severity: ReportedSeverity;

  constructor(
    readonly language: Language | undefined,
    readonly told: GradedReport,
  ) {
    const { severity, report, finding } = told;
    this.severity = severity ?? report.severity ?? finding.severity;
  }

  get failed(): boolean {
    return this.told.failed === true;
  }

  get start(): number {
    const { origin, from } = this.told.report.at;
    return origin.base + from;
  }

  get end(): number {
    const { origin, to } = this.told.report.at;
    return origin.base + to;
  }

  get diagnosis(): Diagnosis {
    try {
      return diagnose(this.told, this.severity, this.language);
    } catch (error) {
      return unworded(this.told, this.language, error);
    }
  }

  fixes(plan: Plan): readonly FixWays[] {
    return fixesOf(plan, this.told);
  }
}

const placed = memoByIdentity(
  (told: GradedReport, language: Language | undefined) => new PlacedFinding(language, told),
);

/** The texts a plan was read from. */
const textsOf = ({ scope }: Plan): readonly Rope[] =>
  [scope.document, ...scope.used].map(({ parsed }) => parsed.text);

/** The check of a whole file failed. */
function untold(document: Document, error: unknown): GradedReport {
  // Its page is about a text that cannot be read, which comes nearest.
  const finding = findingById.get('not-yaml')!;
  const message = say`Plugward failed on this file, so nothing is said about it. Check it by hand, and please report this: ${shortly(error)}.`;
  const report: FindingReport = { at: headOf(document), message };
  return { report, position: 0, finding, severity: 'error', failed: true };
}

/** A finding that cannot be rendered is still reported, by its position and its id. */
function unworded(
  { finding, report }: GradedReport,
  language: Language | undefined,
  error: unknown,
): Diagnosis {
  const message = say`Plugward found ${finding.id} here and failed to say why. See the page of this finding, and please report this: ${shortly(error)}.`;
  return {
    finding: finding.id,
    severity: 'error',
    message: message.in(language),
    range: rangeOf(report.at),
    trace: [],
    ...(report.operation === undefined ? {} : { operation: report.operation }),
    ...(report.connector === undefined ? {} : { connector: report.connector }),
  };
}

/** What a report says, in words. */
const wordsOf = memoByIdentity((report: FindingReport, language: Language | undefined) => ({
  message: report.message.in(language),
  trace: (report.trace ?? []).map(({ message }) => message.in(language)),
}));

function diagnose(
  { finding, report }: GradedReport,
  severity: ReportedSeverity,
  language: Language | undefined,
): Diagnosis {
  const words = wordsOf(report, language);
  return {
    finding: finding.id,
    severity,
    message: words.message,
    range: rangeOf(report.at),
    trace: (report.trace ?? []).map(({ at }, i) => ({ message: words.trace[i]!, range: rangeOf(at) })),
    ...(report.operation === undefined ? {} : { operation: report.operation }),
    ...(report.connector === undefined ? {} : { connector: report.connector }),
    ...(report.connectors?.length ? { connectors: report.connectors } : {}),
    ...(report.also?.length ? { also: report.also } : {}),
    ...(report.lacks ? { lacks: report.lacks } : {}),
    ...(report.meets ? { meets: report.meets } : {}),
  };
}
