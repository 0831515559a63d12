import { own } from '../base/collections.ts';
import { severities } from '../base/severities.ts';
import { findingById } from '../findings/registry.ts';
import type { Version } from './compare.ts';
import { findingsDifference, printsOf } from './finding-prints.ts';
import type { FindingPrint, ToldFinding } from './finding-prints.ts';
import { matched, signatureOf, tokensOf } from './matching.ts';
import type { Signature } from './matching.ts';

/** How grave it was; a baseline of an earlier program does not say. */
interface KnownPrint extends FindingPrint {
  readonly severity?: ToldFinding['severity'];
}

/** The findings of a file as they were once, with what its steps are known by. Plain data, without a line or a place. */
export interface FileRecord {
  readonly steps: readonly Signature[];
  readonly findings: readonly KnownPrint[];
}

export function recordOf({ plan, findings, text }: Version): FileRecord {
  const prints = printsOf(plan, findings, text);
  return {
    steps: plan.operations.map(signatureOf),
    findings: prints.map((print, i) => ({ ...print, severity: findings[i]!.severity })),
  };
}

/**
 * The findings that a record does not have; moved lines and renamed steps make none new. One that was less grave or lacked
 * less is new, and so is one that no acceptance and no setting can silence.
 */
export function newSince({ plan, findings, text }: Version, record: FileRecord): readonly ToldFinding[] {
  const now = plan.operations.map(signatureOf);
  const tokens = tokensOf(record.steps, now, matched(record.steps, now));
  const prints = printsOf(plan, findings, text);
  const { fresh, kept } = findingsDifference<Graded>(
    gravestFirst(record.findings.map((print) => [print, withoutLacks(print)] as const)),
    gravestFirst(prints.map((print, i) => [findings[i]!, withoutLacks(print)] as const)),
    tokens,
  );
  const told = new Set<unknown>(fresh);
  for (const [before, one] of kept) if (rankOf(one) < rankOf(before) || lacksMore(one, before)) told.add(one);
  return findings.filter((one) => told.has(one) || findingById.get(one.finding)?.isFixed);
}

type Graded = ToldFinding | KnownPrint;

/** Lower is graver. */
const rankOf = ({ severity = 'error' }: Graded): number => severities.indexOf(severity);

/** A baseline of an earlier program does not say what a finding lacked. */
const lacksMore = ({ lacks = [] }: Graded, before: Graded): boolean =>
  before.lacks !== undefined && lacks.some((task) => !before.lacks!.includes(task));

const withoutLacks = ({ lacks: _, ...print }: FindingPrint): FindingPrint => print;

/** Of findings with one name the gravest are matched with the gravest. */
const gravestFirst = (told: readonly (readonly [Graded, FindingPrint])[]): typeof told =>
  told.toSorted(([a], [b]) => rankOf(a) - rankOf(b));

/** Whether a value read from a file is such a record. */
export function isRecord(value: unknown): value is FileRecord {
  const { steps, findings } = (value ?? {}) as Partial<Record<string, unknown>>;
  const texts = (one: unknown, ...keys: string[]): boolean =>
    typeof one === 'object' &&
    one !== null &&
    keys.every((key) => typeof own(one as Record<string, unknown>, key) === 'string');
  return (
    Array.isArray(steps) &&
    steps.every((one) => texts(one, 'id', 'task', 'key')) &&
    Array.isArray(findings) &&
    findings.every(
      (one) =>
        texts(one, 'finding') &&
        areTexts((one as FindingPrint).steps) &&
        areTexts((one as FindingPrint).lacks ?? []),
    )
  );
}

const areTexts = (list: unknown): boolean =>
  Array.isArray(list) && list.every((one) => typeof one === 'string');
