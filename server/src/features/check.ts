import type { Kind } from '../document/kind.ts';
import { rangeOf } from '../document/text.ts';
import type { Range } from '../document/text.ts';
import type { Finding, Ground, Report, Subject } from '../findings/finding.ts';
import { findingIds, findings } from '../findings/registry.ts';
import type { Acceptance, Plan } from '../plan/plan.ts';
import type { ReportedSeverity } from '../plan/scope.ts';
import { sequenceOf } from '../sequence/lives.ts';
import type { Workspace } from '../workspace/workspace.ts';

/** What the outside hands in: the date, and the severities of the editor's settings, which go before the sheet's. */
export interface Settings {
  /** Today's date, ISO 8601. */
  readonly today?: string;
  readonly severities?: Readonly<Record<string, ReportedSeverity | 'off'>>;
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

/** A diagnosis and the report it came from, which knows how to mend it. */
export interface Found {
  readonly diagnosis: Diagnosis;
  readonly report: Report;
}

/** All findings of one file, in the order of the text. Never throws. */
export function check(workspace: Workspace, uri: string, settings: Settings = {}): Diagnosis[] {
  return find(workspace, uri, settings).map(({ diagnosis }) => diagnosis);
}

interface Known {
  readonly settings: string;
  readonly told: readonly Told[];
  readonly texts: readonly string[];
  readonly found: readonly Found[];
}
const known = new WeakMap<Plan, Known>();

/** The same with the reports. A plan is checked once for the same settings: lenses and fixes ask again. */
export function find(workspace: Workspace, uri: string, settings: Settings = {}): readonly Found[] {
  const plan = workspace.plan(uri);
  if (!plan) return [];
  const asked = JSON.stringify([settings.today, settings.severities]);
  const last = known.get(plan);
  const texts = textsOf(plan);
  const same = last?.settings === asked;
  if (same && last.texts.every((text, i) => text === texts[i])) return last.found;
  // A plan that stays while its text changes says the same; only places have moved.
  const told = same ? last.told : tell(plan, settings);
  const found = told.map(({ finding, severity, report }) => ({
    report,
    diagnosis: diagnose(finding, report, severity),
  }));
  found.sort(
    ({ diagnosis: a }, { diagnosis: b }) => a.range.start - b.range.start || a.range.end - b.range.end,
  );
  known.set(plan, { settings: asked, told, texts, found });
  return found;
}

/** The texts a plan was read from. */
export const textsOf = ({ scope }: Plan): readonly string[] =>
  [scope.document, ...scope.used].map(({ text }) => text);

/** What a check says, and how grave it is here. */
interface Told {
  readonly finding: Finding;
  readonly severity: ReportedSeverity | undefined;
  readonly report: Report;
}

function tell(plan: Plan, settings: Settings): Told[] {
  const severityOf = (finding: Finding): ReportedSeverity | 'off' | undefined =>
    settings.severities?.[finding.id] ?? plan.scope.policy.severities.get(finding.id);
  const isOn = (id: string): boolean => {
    const finding = findings.find((one) => one.id === id);
    return finding === undefined || severityOf(finding) !== 'off';
  };
  const looked = new Set<string>();
  const needed = new Set<Acceptance>();
  const idle = (): Acceptance[] =>
    plan.accepted.filter((one) => looked.has(one.finding.value) && !needed.has(one));
  const subject = subjectOf(plan, settings.today, isOn, idle);
  const told: Told[] = [];
  // What is said about the others' findings comes after them.
  const last = findings.filter(({ ground }) => ground === 'findings');
  for (const finding of [...findings.filter((one) => !last.includes(one)), ...last]) {
    const severity = severityOf(finding);
    if (severity === 'off' || !applies(finding, plan, subject)) continue;
    looked.add(finding.id);
    for (const report of finding.check(subject)) {
      const acceptances = acceptancesOf(plan, finding.id, report);
      for (const one of acceptances) needed.add(one);
      if (acceptances.some((one) => holds(one, settings.today))) continue;
      told.push({ finding, severity, report });
    }
  }
  return told;
}

function subjectOf(
  plan: Plan,
  today: string | undefined,
  isOn: (finding: string) => boolean,
  idle: () => readonly Acceptance[],
): Subject {
  return {
    document: plan.document,
    plan,
    get sequence() {
      return sequenceOf(plan);
    },
    today,
    counts: (finding, at) =>
      isOn(finding) && !acceptancesOf(plan, finding, at).some((one) => holds(one, today)),
    findingIds,
    idle,
  };
}

function diagnose(finding: Finding, report: Report, severity: ReportedSeverity | undefined): Diagnosis {
  return {
    finding: finding.id,
    severity: severity ?? report.severity ?? finding.severity,
    message: report.message,
    range: rangeOf(report.at),
    trace: (report.trace ?? []).map(({ message, at }) => ({ message, range: rangeOf(at) })),
    ...(report.operation === undefined ? {} : { operation: report.operation }),
    ...(report.connector === undefined ? {} : { connector: report.connector }),
  };
}

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

const standsOn: Readonly<Record<Ground, readonly string[]>> = {
  text: [],
  names: [],
  order: ['uses', 'zones', 'connectors', 'operations'],
  lines: ['uses', 'operations', 'labour', 'materials', 'evidence'],
  findings: ['uses', 'zones', 'connectors', 'operations', 'labour', 'materials', 'accepted'],
  safety: ['uses', 'vehicle', 'zones', 'connectors', 'operations'],
  readings: ['uses', 'vehicle', 'connectors', 'measurements'],
  proof: ['uses', 'vehicle', 'zones', 'connectors', 'operations', 'measurements', 'sign-offs'],
};

/** Whether what a finding stands on can be read. What cannot be known is not complained about. */
function applies(finding: Finding, plan: Plan, subject: Subject): boolean {
  const kind: Kind = plan.document.kind;
  if (!finding.kinds.includes(kind) || !plan.document.root) return finding.ground === 'text';
  const needed = standsOn[finding.ground];
  const damaged = plan.document.problems.some(
    ({ section, contained, kind: problem }) =>
      problem !== 'key-twice' && !contained && (section === undefined || needed.includes(section)),
  );
  if (needed.length > 0 && damaged) return false;
  const ordered = ['order', 'safety', 'proof'].includes(finding.ground);
  return !ordered || (!subject.sequence.order.circle && !plan.tooMany);
}
