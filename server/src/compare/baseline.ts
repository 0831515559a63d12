import { own } from '../base/collections.ts';
import type { Version } from './compare.ts';
import { findingsDifference, printsOf } from './finding-prints.ts';
import type { FindingPrint, ToldFinding } from './finding-prints.ts';
import { matched, signatureOf, tokensOf } from './matching.ts';
import type { Signature } from './matching.ts';

/** The findings of a file as they were once, with what its steps are known by. Plain data, without a line or a place. */
export interface FileRecord {
  readonly steps: readonly Signature[];
  readonly findings: readonly FindingPrint[];
}

export function recordOf({ plan, findings, text }: Version): FileRecord {
  return { steps: plan.operations.map(signatureOf), findings: printsOf(plan, findings, text) };
}

/** The findings that a record does not have; moved lines and renamed steps make none new. */
export function newSince({ plan, findings, text }: Version, record: FileRecord): readonly ToldFinding[] {
  const now = plan.operations.map(signatureOf);
  const tokens = tokensOf(record.steps, now, matched(record.steps, now));
  const prints = printsOf(plan, findings, text);
  const { fresh } = findingsDifference<ToldFinding | FindingPrint>(
    record.findings.map((print) => [print, print] as const),
    prints.map((print, i) => [findings[i]!, print] as const),
    tokens,
  );
  const told = new Set<unknown>(fresh);
  return findings.filter((one) => told.has(one));
}

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
        Array.isArray((one as FindingPrint).steps) &&
        (one as FindingPrint).steps.every((step) => typeof step === 'string'),
    )
  );
}
