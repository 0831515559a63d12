import { say } from '../language/phrase.ts';
import type { Document } from '../document/document.ts';
import type { Kind } from '../document/kind.ts';
import type { Edit, Span } from '../text/span.ts';
import type { Phrase } from '../language/phrase.ts';
import type { Acceptance, Plan } from '../plan/plan.ts';
import type { ReportedSeverity } from '../plan/scope.ts';
import type { Life } from '../sequence/life.ts';
import type { Sequence } from '../sequence/lives.ts';

/** What a check may look at. `sequence` is computed on first use and shared by all checks. */
export interface CheckContext {
  readonly document: Document;
  readonly plan: Plan;
  readonly sequence: Sequence;
  /** The lives of all connectors; for a finding `perConnector`, that of one. */
  readonly lives: Iterable<Life>;
  /** Today's date (ISO 8601), handed in from outside; checks that need it are silent without. */
  readonly today: string | undefined;
  /** Whether a finding counts here: the shop has not switched it off and the plan does not accept it at this place. */
  counts(finding: string, at: { operation?: string; connector?: string }): boolean;
  /** The ids of all findings, for lines that name one. */
  readonly findingIds: readonly string[];
  /** Acceptances whose finding was looked for and did not come up there; known to the ground `findings`. */
  unusedAcceptances(): readonly Acceptance[];
}

/** A related place, with what happens there. */
export interface Trace {
  readonly message: Phrase;
  readonly at: Span;
}

/** A way to mend a finding. */
export interface Fix {
  readonly title: Phrase;
  /** Safe fixes correct a slip of writing. What changes the order of work or the bill is never safe. */
  readonly safe: boolean;
  /** One of several answers that are equally likely: a person chooses, it is never applied along with others. */
  readonly choice?: boolean;
  readonly edits: readonly Edit[];
}

/** What a check says. */
export interface FindingReport {
  readonly at: Span;
  /** At most two short sentences: what is wrong and why it matters; what to do. */
  readonly message: Phrase;
  readonly severity?: ReportedSeverity;
  readonly operation?: string;
  readonly connector?: string;
  readonly trace?: readonly Trace[];
  /** Ways to mend it, best first; computed only when asked for. An empty fix is not offered. */
  readonly fixes?: () => readonly (Fix | undefined)[];
}

/** What a check stands on. When that part of the text cannot be read, the check is silent. */
export type Prerequisite =
  'text' | 'names' | 'order' | 'lines' | 'safety' | 'readings' | 'proof' | 'findings';

/** An example on a finding's page: lines put into a small complete plan. */
interface Example {
  readonly wrong: string;
  readonly right: string;
}

/** One finding: what it means, where it comes from, how it is found and mended. One file each. */
export interface Finding {
  readonly id: string;
  readonly title: Phrase;
  /** Usual severity; a report may carry its own. */
  readonly severity: ReportedSeverity;
  readonly means: Phrase;
  readonly why: Phrase;
  readonly todo: Phrase;
  readonly source: Phrase;
  readonly example: Example;
  readonly kinds: readonly Kind[];
  readonly ground: Prerequisite;
  /** What it says about a connector follows from that connector's life alone: it is asked about one at a time. */
  readonly perConnector?: boolean;
  check(subject: CheckContext): Iterable<FindingReport>;
}

export const everyKind: readonly Kind[] = ['repair-plan', 'shop-procedure', 'connector-list', 'rate-sheet'];
export const plansOnly: readonly Kind[] = ['repair-plan'];
export const commonPractice = say`common practice, no source`;
