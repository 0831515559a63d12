import { say } from '../language/phrase.ts';
import type { Document } from '../document/document.ts';
import type { Kind } from '../document/kind.ts';
import type { Edit, Span } from '../text/span.ts';
import type { Phrase } from '../language/phrase.ts';
import type { Acceptance, Plan } from '../plan/plan.ts';
import type { ReportedSeverity } from '../plan/snapshot.ts';
import type { ConnectorHistory } from '../sequence/life.ts';
import type { Sequence } from '../sequence/lives.ts';

/** The input of a check. `sequence` is computed on first use and shared by all checks. */
export interface CheckContext {
  readonly document: Document;
  readonly plan: Plan;
  readonly sequence: Sequence;
  /** The histories of all connectors; of one, for a finding `perConnector`. */
  readonly lives: Iterable<ConnectorHistory>;
  /** Today's date (ISO 8601), handed in from outside; checks that need it are silent without. */
  readonly today: string | undefined;
  /** The day on which sources, acceptances and qualifications are judged: that of a finished plan, else today. */
  readonly judgedOn: string | undefined;
  /**
   * Whether a finding is active here: neither switched off by the shop nor accepted by the plan at this
   * place.
   */
  isActive(finding: string, at: { operation?: string; connector?: string }): boolean;
  /** The ids of all findings, for lines that name one. */
  readonly findingIds: readonly string[];
  /**
   * Errors that the rate sheet or the settings switch off or lower, by id: about the order and the safety of the work, and
   * about what stands in the text.
   */
  readonly loweredErrors: { readonly ofWork: readonly string[]; readonly ofText: readonly string[] };
  /** Whether a finding, by id, is corrected and cannot be accepted. */
  isCorrected(finding: string): boolean;
  /**
   * Acceptances whose finding was checked for and not found. Only available to findings of ground `findings`.
   */
  unusedAcceptances(): readonly Acceptance[];
  /** Those without a place that hide errors about the work, with the places of these. Likewise. */
  broadAcceptances(): ReadonlyMap<Acceptance, readonly string[]>;
}

/** A related location, with what happens there. */
export interface Trace {
  readonly message: Phrase;
  readonly at: Span;
}

/** A fix for a finding. */
export interface Fix {
  readonly title: Phrase;
  /** Safe fixes correct a typo. A fix that changes the order of work or the bill is never safe. */
  readonly safe: boolean;
  /** One of several equally likely fixes. A person must choose; "fix all" never applies it. */
  readonly choice?: boolean;
  readonly edits: readonly Edit[];
}

/** One fix, or several ways to write it, best first: the first that holds on the plan as a whole is offered. */
export type FixWays = Fix | undefined | readonly (Fix | undefined)[];

/** A result of a check. */
export interface FindingReport {
  readonly at: Span;
  /** At most two short sentences: what is wrong and why it matters; what to do. */
  readonly message: Phrase;
  readonly severity?: ReportedSeverity;
  readonly operation?: string;
  /** The one connector that it is about, or several. */
  readonly connector?: string;
  readonly connectors?: readonly string[];
  readonly trace?: readonly Trace[];
  /** Ids of other steps for which it stands: they lack the same for the same reason. */
  readonly also?: readonly string[];
  /**
   * What is missing, such as tasks that must come first, where one report may tell of several; and the steps that meet what it is
   * about, such as dirty work, of which its trace names only the first. With more of either than it had it is a new finding.
   */
  readonly lacks?: readonly string[];
  readonly meets?: readonly string[];
  /** Its fixes, best first; computed on demand. An empty fix is not offered. */
  readonly fixes?: () => readonly FixWays[];
}

/** The parts of the text a check depends on. If they cannot be read, the check does not run. */
export type Prerequisite =
  'text' | 'names' | 'order' | 'lines' | 'safety' | 'readings' | 'proof' | 'findings';

/** An example on a finding's page: lines put into a small complete plan. */
interface Example {
  readonly wrong: string;
  readonly right: string;
}

/** What the page of a finding says. */
interface FindingPage {
  readonly means: Phrase;
  readonly why: Phrase;
  readonly whatToDo: Phrase;
  readonly source: Phrase;
  readonly example: Example;
}

/** A kind of finding: its meaning, source, check and fixes. One file each. */
export interface FindingRule {
  readonly id: string;
  readonly title: Phrase;
  /** Usual severity; a report may carry its own. */
  readonly severity: ReportedSeverity;
  /** Made when it is asked for: a check needs none of it. */
  page(): FindingPage;
  readonly kinds: readonly Kind[];
  readonly ground: Prerequisite;
  /** Silent while a step cannot be read or follows a procedure that is missing: it may be the step that protects. */
  readonly needsEveryStep?: boolean;
  /**
   * The findings about a connector depend on that connector's history alone, so the check runs for one
   * connector at a time.
   */
  readonly perConnector?: boolean;
  /** Neither a rate sheet nor the settings can switch it off or change its severity. */
  readonly isFixed?: boolean;
  /** Its place is there for nothing, or has a name that has been replaced: an editor fades it or strikes it through. */
  readonly tag?: 'unused' | 'renamed';
  check(subject: CheckContext): Iterable<FindingReport>;
}

export const everyKind: readonly Kind[] = ['repair-plan', 'shop-procedure', 'connector-list', 'rate-sheet'];
export const plansOnly: readonly Kind[] = ['repair-plan'];
export const commonPractice = say`common practice; no published source`;
