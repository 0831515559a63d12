import type Big from 'big.js';
import type { Comparison, Pair } from '../../compare/compare.ts';
import type { ToldFinding } from '../../compare/finding-prints.ts';
import type { LineChange } from '../../compare/money.ts';
import type { LabourCharge, MaterialCharge } from '../../costing/bill.ts';
import type { Operation } from '../../plan/operations.ts';
import { jsonText } from '../listing/json-text.ts';

/**
 * A comparison as plain data. Amounts and hours are strings that hold exact decimals, times are milliseconds, `null` is
 * what is not there. Keys are added in later versions, never renamed or removed while `format` is 1.
 */
export function comparisonData(
  comparison: Comparison,
  names: { readonly old: string; readonly new: string },
) {
  const { money, order, exposures, findings, times } = comparison;
  const { decimals } = money.new.sheet;
  const amount = (one: Big | undefined): string | null => one?.toFixed(decimals) ?? null;
  const step = ({ id, taskId, connectors, zones }: Operation) => ({
    id,
    task: taskId,
    connectors: connectors.map(({ value }) => value),
    zones,
  });
  const ids = (pair: Pair) => ({ old: pair.old.id, new: pair.new.id });
  const charge = (one: LabourCharge | MaterialCharge | undefined) =>
    one
      ? {
          operations: one.steps,
          ...('item' in one
            ? { item: one.item ?? null, quantity: one.quantity?.toFixed() ?? null }
            : { task: one.task ?? null, hours: one.hours?.toFixed() ?? null }),
          amount: amount(one.amount),
        }
      : null;
  const line = ({ old, new: now, changes, difference }: LineChange<LabourCharge | MaterialCharge>) => ({
    old: charge(old),
    new: charge(now),
    changes: changes.map(nulls),
    difference: amount(difference),
  });
  const told = ({ finding, severity, message, operation, connector }: ToldFinding) => ({
    finding,
    severity,
    message,
    operation: operation ?? null,
    connector: connector ?? null,
  });
  const entries = (list: Comparison['connectors']) =>
    list.map(({ old, new: now, changes }) => ({ ...nulls({ old, new: now }), changes: changes.map(nulls) }));
  return {
    ...names,
    steps: {
      added: comparison.added.map(step),
      removed: comparison.removed.map(step),
      renamed: comparison.renamed.map(({ old, new: now }) => ({ old, new: now })),
      changed: comparison.changed.map((stepChange) => ({
        ...ids(stepChange),
        changes: stepChange.changes.map(nulls),
      })),
    },
    order:
      order?.map(({ first, second, kind, matters }) => ({
        kind,
        matters,
        first: ids(first),
        second: ids(second),
      })) ?? null,
    vehicle: comparison.head.map(nulls),
    connectors: entries(comparison.connectors),
    readings: entries(comparison.readings),
    evidence: entries(comparison.evidence),
    sources: entries(comparison.sources),
    signOffs: entries(comparison.signOffs),
    accepted: entries(comparison.accepted),
    exposure: exposures.map(({ connector, old, new: now }) => ({
      connector,
      old: old ?? null,
      new: now ?? null,
    })),
    money: {
      currency: money.new.sheet.currency ?? null,
      labour: money.labour.map(line),
      materials: money.materials.map(line),
      net: amount(money.net),
      gross: amount(money.gross),
    },
    times,
    findings: {
      new: findings.fresh.map(told),
      gone: findings.gone.map(told),
      kept: findings.kept.map(([, one]) => told(one)),
    },
  };
}

const nulls = <T extends { readonly old: unknown; readonly new: unknown }>(change: T) => ({
  ...change,
  old: change.old ?? null,
  new: change.new ?? null,
});

export const comparisonsJson = (
  comparisons: readonly ReturnType<typeof comparisonData>[],
  options: { readonly version: string; readonly added: readonly string[] },
): string =>
  `${jsonText({ tool: { name: 'plugward', version: options.version }, format: 1, added: options.added, comparisons })}\n`;
