import type { Document } from '../document/document.ts';
import { addToGroup, emptyList } from '../base/collections.ts';
import type { Kind } from '../document/kind.ts';
import type { Rope } from '../text/rope.ts';
import { rangeOf } from '../text/span.ts';
import type { Range } from '../text/span.ts';
import { memoByIdentity, slot } from '../incremental/memo.ts';
import { keyedQuery, memoByKey, query, sameMembers } from '../incremental/query.ts';
import { languageOf } from '../language/language.ts';
import { listed, say } from '../language/phrase.ts';
import type { Language } from '../language/language.ts';
import type { Finding, Fix, Prerequisite, FindingReport, CheckContext } from '../findings/finding.ts';
import { findingById, findingIds, findings } from '../findings/registry.ts';
import { SnapshotPlan } from '../plan/plan.ts';
import type { Acceptance, Plan } from '../plan/plan.ts';
import { severityIn, todayIn } from '../plan/snapshot.ts';
import type { CheckSettings, ReportedSeverity, Snapshot } from '../plan/snapshot.ts';
import { sequenceOf } from '../sequence/lives.ts';
import type { Life } from '../sequence/life.ts';
import type { Sequence } from '../sequence/lives.ts';
import type { Workspace } from '../workspace/workspace.ts';

/** External input: the date, severities from the editor settings, and the language of messages. */
export interface Settings extends CheckSettings {
  /** Language tag for messages; English if absent. */
  readonly language?: string;
}

/** A finding at a place, as every adapter shows it. */
export interface Diagnosis {
  readonly finding: string;
  readonly severity: ReportedSeverity;
  readonly message: string;
  readonly range: Range;
  readonly trace: readonly { readonly message: string; readonly range: Range }[];
  readonly operation?: string;
  readonly connector?: string;
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
  fixes(plan: Plan): readonly (Fix | undefined)[];
}

/** All findings of one file, in the order of the text. Never throws. */
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
  const found = same ? [...last.found] : run(plan, language);
  // The report of a checker failure is always last.
  const failed = found.at(-1)?.told.failed;
  if (!areInOrder(found)) found.sort((a, b) => a.start - b.start || a.end - b.end);
  // Do not cache a failed run, so that it is retried.
  if (!failed) known.set(plan, { language, texts, found });
  return found;
}

/** Usually true after a keystroke. Each offset is computed once here, since the getters recompute it. */
function areInOrder(found: readonly PlacedFinding[]): boolean {
  let [from, to] = [-1, -1];
  for (const { start, end } of found) {
    if (start < from || (start === from && end < to)) return false;
    [from, to] = [start, end];
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

  fixes(plan: Plan): readonly (Fix | undefined)[] {
    return fixesOf(plan, this.told);
  }
}

/** Wraps a finding's reports; returns the same objects while the reports are unchanged. */
const placed = memoByIdentity(
  (
    said: readonly UngradedReport[],
    language: Language | undefined,
    finding: Finding,
    severity: GradedReport['severity'],
  ): readonly PlacedFinding[] =>
    said.map((one) => new PlacedFinding(language, { ...one, finding, severity })),
);

/** The texts a plan was read from. */
const textsOf = ({ scope }: Plan): readonly Rope[] =>
  [scope.document, ...scope.used].map(({ parsed }) => parsed.text);

/** What a check says. */
interface UngradedReport {
  readonly report: FindingReport;
  /** Index among the check's reports (for `of`, if the check ran for one connector). */
  readonly position: number;
  readonly of?: string;
}

/** A report with the severity that applies here. */
interface GradedReport extends UngradedReport {
  readonly finding: Finding;
  readonly severity: ReportedSeverity | undefined;
  /** Reports a failure of the checker, not a fault of the text. */
  readonly failed?: true;
}

/** By finding. */
type SaidBy = ReadonlyMap<string, readonly UngradedReport[]>;
const nothing: SaidBy = new Map();

/** The reports of a finding; recomputed only when something it read has changed. */
const saidIn = memoByKey((finding: Finding) =>
  query((reading: Snapshot) =>
    reportsWithoutFixes(finding, new RuleContext(new SnapshotPlan(reading), noAcceptances)),
  ),
);
/** The reports of the per-connector findings of a ground for all connectors, by finding. */
const saidOfEachIn = memoByKey((ground: Prerequisite) =>
  query((reading: Snapshot): SaidBy => {
    const said = new Map<string, UngradedReport[]>();
    for (const connector of sequenceOf(new SnapshotPlan(reading)).lives.keys()) {
      for (const [finding, ones] of saidOfIn(ground)(reading, connector)) {
        for (const one of ones) addToGroup(said, finding, one);
      }
    }
    return said;
  }),
);
/** The reports of the per-connector findings of a ground for one connector, by finding. */
const saidOfIn = memoByKey((ground: Prerequisite) =>
  keyedQuery(
    (reading: Snapshot, connector: string): SaidBy => {
      const said = new Map<string, readonly UngradedReport[]>();
      const looked = new RuleContext(new SnapshotPlan(reading), noAcceptances, connector);
      for (const finding of perConnector.get(ground) ?? []) {
        const ones = reportsWithoutFixes(finding, looked);
        if (ones.length > 0) said.set(finding.id, ones);
      }
      return said.size > 0 ? said : nothing;
    },
    undefined,
    true,
  ),
);

/** Runs every finding on a plan. */
function run(plan: Plan, language: Language | undefined): PlacedFinding[] {
  const today = todayIn(plan.reading);
  const looked = new Set<string>();
  const needed = new Set<Acceptance>();
  const idle = (): Acceptance[] =>
    plan.accepted.filter((one) => looked.has(one.finding.value) && !needed.has(one));
  const found: PlacedFinding[] = [];
  const failed: { readonly finding: Finding; readonly error: unknown }[] = [];
  for (const finding of runOrder) {
    const severity = severityOf(finding, plan);
    if (severity === 'off') continue;
    let said: readonly UngradedReport[];
    try {
      if (!canEvaluate(finding, plan)) continue;
      said = saidBy(finding, plan, idle);
    } catch (error) {
      failed.push({ finding, error });
      continue;
    }
    looked.add(finding.id);
    if (plan.accepted.length === 0) {
      if (said.length > 0) for (const one of placed(said, language, finding, severity)) found.push(one);
      continue;
    }
    for (const one of said) {
      const acceptances = acceptancesOf(plan, finding.id, one.report);
      for (const acceptance of acceptances) needed.add(acceptance);
      if (acceptances.some((acceptance) => holds(acceptance, today))) continue;
      found.push(new PlacedFinding(language, { ...one, finding, severity }));
    }
  }
  const [first] = failed;
  if (first) {
    const ids = failed.map(({ finding }) => finding.id);
    const report = checkerFailure(plan, ids, first.error);
    const told = { report, position: 0, finding: first.finding, severity: 'error', failed: true } as const;
    found.push(new PlacedFinding(language, told));
  }
  return found;
}

function saidBy(finding: Finding, plan: Plan, idle: () => readonly Acceptance[]): readonly UngradedReport[] {
  if (finding.ground === 'findings') {
    return numbered([...finding.check(new RuleContext(plan, idle))]);
  }
  if (!finding.perConnector) return saidIn(finding)(plan.reading);
  try {
    return saidOfEachIn(finding.ground)(plan.reading).get(finding.id) ?? [];
  } catch {
    // One finding of the group threw, possibly another one; run this one alone.
    return [...sequenceOf(plan).lives.keys()].flatMap((connector) =>
      reportsWithoutFixes(finding, new RuleContext(plan, noAcceptances, connector)),
    );
  }
}

/** The fixes of what was told about a plan: the check is run again, on the plan's own text. */
function fixesOf(
  plan: Plan,
  { finding, report, position, of, failed }: GradedReport,
): readonly (Fix | undefined)[] {
  if (failed) return [];
  if (finding.ground === 'findings') return report.fixes?.() ?? [];
  let known = fresh.get(plan);
  if (!known) fresh.set(plan, (known = new Map()));
  const key = `${finding.id} ${of ?? ''}`;
  let reports = known.get(key);
  if (!reports) known.set(key, (reports = [...finding.check(new RuleContext(plan, noAcceptances, of))]));
  return reports[position]?.fixes?.() ?? [];
}
const fresh = slot<Plan, Map<string, readonly FindingReport[]>>();

/** The settings go before the rate sheet; undefined where both leave a finding its own severity. */
const severityOf = ({ id }: Finding, plan: Plan): ReportedSeverity | 'off' | undefined =>
  severityIn(id)(plan.reading) ?? plan.scope.policy.severities.get(id);

/** What one check looks at. */
class RuleContext implements CheckContext {
  readonly sequence: Sequence;
  readonly findingIds = findingIds;

  /** @param connector the only one that is looked at */
  constructor(
    readonly plan: Plan,
    readonly unusedAcceptances: () => readonly Acceptance[],
    readonly connector?: string,
  ) {
    this.sequence = sequenceOf(plan);
  }

  get document(): Document {
    return this.plan.document;
  }

  get today(): string | undefined {
    return todayIn(this.plan.reading);
  }

  get lives(): Iterable<Life> {
    if (this.connector === undefined) return this.sequence.lives.values();
    const life = this.sequence.life(this.connector);
    return life ? [life] : [];
  }

  // An arrow function, because checks destructure it.
  readonly counts: CheckContext['counts'] = (id, at) => {
    const { plan, today } = this;
    const finding = findingById.get(id);
    return (
      (!finding || severityOf(finding, plan) !== 'off') &&
      !acceptancesOf(plan, id, at).some((one) => holds(one, today))
    );
  };
}

/** Drops `fixes`, which depend on the text and are recomputed on demand. */
function reportsWithoutFixes(finding: Finding, looked: RuleContext): readonly UngradedReport[] {
  let said: UngradedReport[] | undefined;
  for (const { fixes, ...report } of finding.check(looked)) {
    said ??= [];
    said.push(numberedAs(said.length, report, looked.connector));
  }
  return said ?? emptyList;
}

const numberedAs = (position: number, report: FindingReport, of: string | undefined): UngradedReport =>
  of === undefined ? { report, position } : { report, position, of };

const numbered = (reports: readonly FindingReport[]): UngradedReport[] =>
  reports.map((report, position) => ({ report, position }));

/** A checker failure must not look like a clean plan. */
function checkerFailure({ document }: Plan, ids: readonly string[], error: unknown): FindingReport {
  return {
    at: headOf(document),
    message: say`Plugward failed while checking for ${listed(ids)}, so that check is missing here. Check it by hand, and please report this: ${shortly(error)}.`,
  };
}

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

const shortly = (error: unknown): string => String(error).slice(0, 200);

function headOf(document: Document): FindingReport['at'] {
  const origin = { uri: document.uri, base: 0 };
  const [first] = document.root?.entries ?? [];
  return first?.keySpan ?? { origin, from: 0, to: Math.min(document.text.length, 80) };
}

const noAcceptances = (): readonly Acceptance[] => emptyList;
/** Findings about other findings run last. */
const runOrder = [
  ...findings.filter(({ ground }) => ground !== 'findings'),
  ...findings.filter(({ ground }) => ground === 'findings'),
];

/** The per-connector findings, by ground. */
const perConnector = new Map<Prerequisite, Finding[]>();
for (const finding of findings) if (finding.perConnector) addToGroup(perConnector, finding.ground, finding);

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
  };
}

/**
 * Whether every check has seen all it stands on. It has not while a part of the text, or of a file that is used, is
 * missing, cannot be read or is refused by the language: "no findings" would then be said of what nobody has looked at.
 */
export function isFullyChecked(plan: Plan): boolean {
  const { document, scope } = plan;
  if (scope.unresolved.length > 0) return false;
  if ([document, ...scope.used].some(isPartlyRead)) return false;
  return findings.every((finding) => !finding.kinds.includes(document.kind) || canEvaluate(finding, plan));
}

/** Whether some of it reads as absent. */
const isPartlyRead = ({ root, problems, mistakes }: Document): boolean =>
  !root || problems.length > 0 || mistakes.some(({ node }) => node.rejectedBySchema === true);

/** The plan's acceptances of a finding at this operation or connector, held or run out. */
function acceptancesOf(
  plan: Plan,
  finding: string,
  at: { operation?: string; connector?: string },
): Acceptance[] {
  return plan.accepted.filter(
    (one) =>
      one.finding.value === finding &&
      (!one.at || one.at.value === at.operation || one.at.value === at.connector),
  );
}

const holds = ({ until }: Acceptance, today: string | undefined): boolean =>
  until !== undefined && (today === undefined || today <= until.value);

const requiredSections: Readonly<Record<Prerequisite, readonly string[]>> = {
  text: [],
  names: [],
  order: ['uses', 'zones', 'connectors', 'operations'],
  lines: ['uses', 'operations', 'labour', 'materials', 'evidence'],
  findings: ['uses', 'zones', 'connectors', 'operations', 'labour', 'materials', 'accepted'],
  safety: ['uses', 'vehicle', 'zones', 'connectors', 'operations'],
  readings: ['uses', 'vehicle', 'connectors', 'measurements'],
  proof: ['uses', 'vehicle', 'zones', 'connectors', 'operations', 'measurements', 'sign-offs'],
};

/**
 * Whether the parts of the text that a finding depends on are readable. If not, the finding is not evaluated.
 */
function canEvaluate(finding: Finding, plan: Plan): boolean {
  const kind: Kind = plan.document.kind;
  if (!finding.kinds.includes(kind) || !plan.document.root) return finding.ground === 'text';
  const needed = requiredSections[finding.ground];
  const damaged = plan.document.problems.some(
    ({ section, contained, kind: problem }) =>
      problem !== 'key-twice' && !contained && (section === undefined || needed.includes(section)),
  );
  if (needed.length > 0 && damaged) return false;
  const ordered = ['order', 'safety', 'proof'].includes(finding.ground);
  return !ordered || (!sequenceOf(plan).order.circle && !plan.firstOverLimit);
}
