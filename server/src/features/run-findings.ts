/** Runs the findings on a plan: which are evaluated, with which severity, and which of their reports are accepted. */
import { addToGroup, emptyList } from '../base/collections.ts';
import type { Document } from '../document/document.ts';
import type { CheckContext, FindingRule, FindingReport, FixWays } from '../findings/finding.ts';
import { findingById, findingIds, findings } from '../findings/registry.ts';
import { isAboutWork, isCorrected, loweredErrors, severityOf } from '../findings/severity.ts';
import { chunker } from '../incremental/chunks.ts';
import { memoByIdentity, slot } from '../incremental/memo.ts';
import { keepGroups, keyedQuery, memoByKey, query } from '../incremental/query.ts';
import { andList, say } from '../language/phrase.ts';
import { SnapshotPlan } from '../plan/plan.ts';
import type { Acceptance, Plan } from '../plan/plan.ts';
import { judgedDay } from '../plan/judged.ts';
import type { Connector } from '../plan/scope.ts';
import { todayIn } from '../plan/snapshot.ts';
import type { ReportedSeverity, Snapshot } from '../plan/snapshot.ts';
import type { ConnectorHistory } from '../sequence/life.ts';
import { sequenceOf } from '../sequence/lives.ts';
import type { Sequence } from '../sequence/lives.ts';
import { evaluableIn } from './prerequisites.ts';

/** What a check says. */
interface UngradedReport {
  readonly report: FindingReport;
  /** Index among the check's reports (for `of`, if the check ran for one connector). */
  readonly position: number;
  readonly of?: string;
}

/** A report with the severity that applies here. */
export interface GradedReport extends UngradedReport {
  readonly finding: FindingRule;
  readonly severity: ReportedSeverity | undefined;
  /** Reports a failure of the checker, not a fault of the text. */
  readonly failed?: true;
}

/** Grades a finding's reports; returns the same objects while the reports are unchanged. */
const graded = memoByIdentity(
  (
    said: readonly UngradedReport[],
    finding: FindingRule,
    severity: GradedReport['severity'],
  ): readonly GradedReport[] => said.map((one) => ({ ...one, finding, severity })),
);

/** By finding. */
type SaidBy = Map<string, readonly UngradedReport[]>;
const nothing: SaidBy = new Map();

/** The reports of a finding; recomputed only when something it read has changed. */
const saidIn = memoByKey((finding: FindingRule) =>
  query((reading: Snapshot) => reportsWithoutFixes(finding, new RuleContext(new SnapshotPlan(reading)))),
);
/** The reports of a group of per-connector findings for all connectors, by finding. */
const saidOfEachIn = memoByKey((group: string) =>
  query((reading: Snapshot): SaidBy => {
    const connectors = [...sequenceOf(new SnapshotPlan(reading)).lives.values()].map(
      (life) => life.connector,
    );
    const saidOf = saidOfRunIn(group);
    return together(runsOf(connectors).map((run) => saidOf(reading, run)));
  }, keepGroups),
);
/** The same for a run of connectors: a change at one of them concerns one run. */
const saidOfRunIn = memoByKey((group: string) =>
  keyedQuery((reading: Snapshot, run: readonly Connector[]): SaidBy => {
    const saidOf = saidOfIn(group);
    return together(run.map(({ id }) => saidOf(reading, id)));
  }, keepGroups),
);
const runsOf = chunker<Connector>();

function together(parts: readonly SaidBy[]): SaidBy {
  const said = new Map<string, UngradedReport[]>();
  for (const part of parts)
    for (const [finding, ones] of part) for (const one of ones) addToGroup(said, finding, one);
  return said;
}

/** The reports of a group of per-connector findings for one connector, by finding. */
const saidOfIn = memoByKey((group: string) =>
  keyedQuery(
    (reading: Snapshot, connector: string): SaidBy => {
      const said = new Map<string, readonly UngradedReport[]>();
      const looked = new RuleContext(new SnapshotPlan(reading), connector);
      for (const finding of perConnector.get(group) ?? []) {
        const ones = reportsWithoutFixes(finding, looked);
        if (ones.length > 0) said.set(finding.id, ones);
      }
      return said.size > 0 ? said : nothing;
    },
    undefined,
    true,
  ),
);

/**
 * Runs every finding on a plan.
 * @returns the reports that count here, without a severity of `off` and without accepted ones; the same objects while they
 * are unchanged. A failure of the checker comes last.
 */
export function runFindings(plan: Plan): GradedReport[] {
  const day = judgedDay(plan, todayIn(plan.reading));
  const looked = new Set<string>();
  const needed = new Set<Acceptance>();
  const broad = new Map<Acceptance, string[]>();
  const accepted: Acceptances = {
    unused: () => plan.accepted.filter((one) => looked.has(one.finding.value) && !needed.has(one)),
    broad: () => broad,
  };
  const found: GradedReport[] = [];
  const failed: { readonly finding: FindingRule; readonly error: unknown }[] = [];
  const canEvaluate = evaluableIn(plan);
  for (const finding of runOrder) {
    const severity = severityOf(finding, plan);
    if (severity === 'off') continue;
    let said: readonly UngradedReport[];
    try {
      if (!canEvaluate(finding)) continue;
      said = saidBy(finding, plan, accepted);
    } catch (error) {
      failed.push({ finding, error });
      continue;
    }
    looked.add(finding.id);
    if (plan.accepted.length === 0) {
      if (said.length > 0) for (const told of graded(said, finding, severity)) found.push(told);
      continue;
    }
    for (const one of said) {
      const acceptances = acceptancesOf(plan, finding.id, one.report);
      for (const acceptance of acceptances) needed.add(acceptance);
      const holding = acceptances.filter((acceptance) => holds(acceptance, day));
      if (holding.length > 0) {
        const place = one.report.operation ?? one.report.connector;
        const isError = (severity ?? one.report.severity ?? finding.severity) === 'error';
        if (place !== undefined && isError && isAboutWork(finding) && !holding.some(({ at }) => at))
          addToGroup(broad, holding[0]!, place);
        continue;
      }
      found.push({ ...one, finding, severity });
    }
  }
  const [first] = failed;
  if (first) {
    const ids = failed.map(({ finding }) => finding.id);
    const report = checkerFailure(plan, ids, first.error);
    found.push({ report, position: 0, finding: first.finding, severity: 'error', failed: true });
  }
  return found;
}

function saidBy(finding: FindingRule, plan: Plan, accepted: Acceptances): readonly UngradedReport[] {
  if (finding.ground === 'findings') {
    return numbered([...finding.check(new RuleContext(plan, undefined, accepted))]);
  }
  if (!finding.perConnector) return saidIn(finding)(plan.reading);
  try {
    return saidOfEachIn(groupOf(finding))(plan.reading).get(finding.id) ?? [];
  } catch {
    // One finding of the group threw, possibly another one; run this one alone.
    return [...sequenceOf(plan).lives.keys()].flatMap((connector) =>
      reportsWithoutFixes(finding, new RuleContext(plan, connector)),
    );
  }
}

/**
 * The fixes of what was told about a plan. A report that is kept does not keep them: they would hold on to the texts of
 * revisions that are gone. The check is run again on the plan's own text; being a pure function, it tells the same reports
 * in the same order, and one that tells another gets no fix.
 */
export function fixesOf(
  plan: Plan,
  { finding, report, position, of, failed }: GradedReport,
): readonly FixWays[] {
  if (failed) return [];
  if (finding.ground === 'findings') return report.fixes?.() ?? [];
  let known = fresh.get(plan);
  if (!known) fresh.set(plan, (known = new Map()));
  const key = `${finding.id} ${of ?? ''}`;
  let reports = known.get(key);
  if (!reports) known.set(key, (reports = [...finding.check(new RuleContext(plan, of))]));
  const again = reports[position];
  return again && isSameReport(again, report) ? (again.fixes?.() ?? []) : [];
}

const isSameReport = (report: FindingReport, other: FindingReport): boolean =>
  report.at.origin === other.at.origin &&
  report.at.from === other.at.from &&
  report.at.to === other.at.to &&
  report.operation === other.operation &&
  report.connector === other.connector;
const fresh = slot<Plan, Map<string, readonly FindingReport[]>>();

/** What has become of a plan's acceptances. */
interface Acceptances {
  readonly unused: CheckContext['unusedAcceptances'];
  readonly broad: CheckContext['broadAcceptances'];
}

/** What one check looks at. */
class RuleContext implements CheckContext {
  readonly sequence: Sequence;
  readonly findingIds = findingIds;

  /** @param connector the only one that is looked at */
  constructor(
    readonly plan: Plan,
    readonly connector?: string,
    readonly accepted?: Acceptances,
  ) {
    this.sequence = sequenceOf(plan);
  }

  readonly unusedAcceptances: CheckContext['unusedAcceptances'] = () => this.accepted?.unused() ?? emptyList;

  readonly broadAcceptances: CheckContext['broadAcceptances'] = () => this.accepted?.broad() ?? new Map();

  get document(): Document {
    return this.plan.document;
  }

  get today(): string | undefined {
    return todayIn(this.plan.reading);
  }

  get judgedOn(): string | undefined {
    return judgedDay(this.plan, this.today);
  }

  get loweredErrors(): CheckContext['loweredErrors'] {
    return loweredErrors(this.plan);
  }

  readonly isCorrected: CheckContext['isCorrected'] = (id) => {
    const finding = findingById.get(id);
    return finding !== undefined && isCorrected(finding);
  };

  get lives(): Iterable<ConnectorHistory> {
    if (this.connector === undefined) return this.sequence.lives.values();
    const life = this.sequence.life(this.connector);
    return life ? [life] : [];
  }

  // An arrow function, because checks destructure it.
  readonly isActive: CheckContext['isActive'] = (id, at) => {
    const { plan, judgedOn } = this;
    const finding = findingById.get(id);
    return (
      (!finding || severityOf(finding, plan) !== 'off') &&
      !acceptancesOf(plan, id, at).some((acceptance) => holds(acceptance, judgedOn))
    );
  };
}

/** Without `fixes`, which depend on the text and are recomputed on demand. */
const withoutFixes = (report: FindingReport): FindingReport =>
  // Not by a rest pattern: the engine copies by that one property at a time.
  report.fixes ? ({ ...report, fixes: undefined } as FindingReport) : report;

function reportsWithoutFixes(finding: FindingRule, looked: RuleContext): readonly UngradedReport[] {
  let said: UngradedReport[] | undefined;
  for (const report of finding.check(looked)) {
    said ??= [];
    said.push(numberedAs(said.length, withoutFixes(report), looked.connector));
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
    message: say`Plugward failed while checking for ${andList(ids)}, so that check is missing here. Check it by hand, and please report this: ${shortly(error)}.`,
  };
}

/** Findings about other findings run last. */
const runOrder = [
  ...findings.filter(({ ground }) => ground !== 'findings'),
  ...findings.filter(({ ground }) => ground === 'findings'),
];

/** Findings that are evaluated under the same conditions: while these do not hold, what was said is kept for when they do again. */
const groupOf = ({ ground, needsEveryStep = false }: FindingRule): string => `${ground} ${needsEveryStep}`;

/** The per-connector findings, by group. */
const perConnector = new Map<string, FindingRule[]>();
for (const finding of findings) if (finding.perConnector) addToGroup(perConnector, groupOf(finding), finding);

/** The plan's acceptances of a finding at this operation or connector, held or run out. */
function acceptancesOf(
  plan: Plan,
  finding: string,
  at: { operation?: string; connector?: string },
): readonly Acceptance[] {
  const rule = findingById.get(finding);
  if (rule && isCorrected(rule)) return emptyList;
  return plan.accepted.filter(
    (acceptance) =>
      acceptance.finding.value === finding &&
      (!acceptance.at || acceptance.at.value === at.operation || acceptance.at.value === at.connector),
  );
}

const holds = ({ until }: Acceptance, day: string | undefined): boolean =>
  until !== undefined && (day === undefined || day <= until.value);

export const shortly = (error: unknown): string => String(error).slice(0, 200);

/** Where a report about a whole file stands: its first key, or its first line. */
export function headOf(document: Document): FindingReport['at'] {
  const origin = { uri: document.uri, base: 0 };
  const [first] = document.root?.entries ?? [];
  return first?.keySpan ?? { origin, from: 0, to: Math.min(document.text.length, 80) };
}
