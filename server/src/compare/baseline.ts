import { own } from '../base/collections.ts';
import { severities } from '../base/severities.ts';
import { findingById } from '../findings/registry.ts';
import type { Version } from './compare.ts';
import { findingsDifference, printsOf } from './finding-prints.ts';
import type { FindingPrint, ToldFinding } from './finding-prints.ts';
import { matched, signatureOf, tokensOf } from './matching.ts';
import type { Signature, Tokens } from './matching.ts';

/** How grave it was; a baseline of an earlier program does not say. */
interface KnownPrint extends FindingPrint {
  readonly severity?: ToldFinding['severity'];
}

/** The findings of a file as they were once, with what its steps are known by. Plain data, without a line or a place. */
export interface FileRecord {
  readonly steps: readonly Signature[];
  readonly findings: readonly KnownPrint[];
}

export const recordOf = (version: Version): FileRecord => ({
  steps: version.plan.operations.map(signatureOf),
  findings: gradedPrints(version),
});

const gradedPrints = ({ plan, findings, text }: Version): KnownPrint[] =>
  printsOf(plan, findings, text).map((print, i) => ({ ...print, severity: findings[i]!.severity }));

/**
 * The findings that a record does not have; moved lines and renamed steps make none new. One that was less grave, lacked less,
 * stood for fewer steps or connectors or at another value is new, and so is one that no acceptance and no setting can silence.
 */
export function newSince(version: Version, record: FileRecord): readonly ToldFinding[] {
  const steps = version.plan.operations.map(signatureOf);
  const tokens = tokensOf(record.steps, steps, matched(record.steps, steps));
  const prints = gradedPrints(version);
  const same = findingsDifference(keyed(record.findings), keyed(prints), tokens);
  const alike = findingsDifference(keyed(same.gone, bare), keyed(same.fresh, bare), tokens);
  const told = new Set(alike.fresh);
  for (const [before, one] of [...same.kept, ...alike.kept]) if (isWorse(one, before, tokens)) told.add(one);
  return version.findings.filter(
    ({ finding }, i) => told.has(prints[i]!) || findingById.get(finding)?.isFixed,
  );
}

/** Of findings with one name the gravest are matched with the gravest. */
const keyed = (
  prints: readonly KnownPrint[],
  keyOf = (print: KnownPrint): FindingPrint => print,
): (readonly [KnownPrint, FindingPrint])[] =>
  prints.toSorted((a, b) => rankOf(a) - rankOf(b)).map((print) => [print, keyOf(print)]);

/** Lower is graver. */
const rankOf = ({ severity = 'error' }: KnownPrint): number => severities.indexOf(severity);

/** Without what may change while the fault stays the same, and what a baseline of an earlier program does not say. */
const bare = ({
  connectors: _connectors,
  lacks: _lacks,
  value: _value,
  also: _also,
  ...print
}: KnownPrint): FindingPrint => print;

function isWorse(one: KnownPrint, before: KnownPrint, tokens: Tokens): boolean {
  if (rankOf(one) < rankOf(before)) return true;
  if (before.value !== undefined && one.value !== before.value) return true;
  for (const key of ['lacks', 'connectors'] as const)
    if (before[key] && one[key]?.some((item) => !before[key]!.includes(item))) return true;
  const known = new Set([...before.steps, ...(before.also ?? [])].map(tokens.before));
  return one.also?.some((step) => !known.has(tokens.now(step))) ?? false;
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
        areTexts((one as FindingPrint).steps) &&
        (['also', 'connectors', 'lacks'] as const).every((key) => areTexts((one as FindingPrint)[key] ?? [])),
    )
  );
}

const areTexts = (list: unknown): boolean =>
  Array.isArray(list) && list.every((one) => typeof one === 'string');
