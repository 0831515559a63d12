import fc from 'fast-check';
import { compare } from '../../server/src/compare/compare.ts';
import type { Comparison, Pair, Version } from '../../server/src/compare/compare.ts';
import type { EntryChange } from '../../server/src/compare/facts.ts';
import { check } from '../../server/src/features/check.ts';
import { cleanPlans } from '../laws/clean-plans.ts';
import { today } from '../laws/runs.ts';
import { workspaceOf } from '../support/files.ts';

type Files = Readonly<Record<string, string>>;
export const planName = 'generated.repair-plan.yaml';

/** A plan among its files, with its findings. */
export function versionOf(files: Files, name = planName): Version {
  const workspace = workspaceOf(files);
  const uri = `file:///plans/${name}`;
  return {
    plan: workspace.plan(uri)!,
    findings: check(workspace, uri, { today }),
    text: (one) => workspace.text(one),
  };
}

export const compared = (old: Files, now: Files): Comparison => compare(versionOf(old), versionOf(now));

/** What an estimator does to a plan between two versions: lines go, come, move, say other things. */
type Act = {
  readonly act: 'drop' | 'move' | 'copy' | 'untie' | 'number' | 'connector';
  readonly at: number;
  readonly to: number;
};

const act: fc.Arbitrary<Act> = fc.record({
  act: fc.constantFrom('drop', 'move', 'copy', 'untie', 'number', 'connector'),
  at: fc.nat(),
  to: fc.nat(),
});

function apply(text: string, { act: what, at, to }: Act, n: number): string {
  const lines = text.split('\n');
  const steps = [...lines.keys()].filter((i) => /^ {2}- \{ id: op\d/.test(lines[i]!));
  const entries = [...lines.keys()].filter((i) => /^ {2}- \{ (id: op\d|for:|connector:)/.test(lines[i]!));
  if (steps.length === 0) return text;
  const pick = (list: readonly number[], by: number): number => list[by % list.length]!;
  switch (what) {
    case 'drop':
      lines.splice(pick(entries, at), 1);
      break;
    case 'move': {
      const from = pick(steps, at);
      const target = pick(steps, to);
      const [line] = lines.splice(from, 1);
      lines.splice(target, 0, line!);
      break;
    }
    case 'copy': {
      const from = pick(steps, at);
      lines.splice(pick(steps, to), 0, lines[from]!.replace(/id: op\d+[a-z]*/, `id: new${n}`));
      break;
    }
    case 'untie': {
      const one = pick(steps, at);
      lines[one] = lines[one]!.includes('after:')
        ? lines[one]!.replace(/, after: \[[^\]]*\]/, '')
        : lines[one]!.replace(' }', ', after: [] }');
      break;
    }
    case 'number': {
      const one = pick(entries, at);
      lines[one] = lines[one]!.replace(/(hours|quantity|value): [\d.]+/, `$1: 0.${1 + (to % 9)}`);
      break;
    }
    case 'connector': {
      const one = pick(steps, at);
      lines[one] = lines[one]!.replace(/connectors: \[[a-z0-9-]+(, )?/, 'connectors: [');
      break;
    }
  }
  return lines.join('\n');
}

/** A clean plan in flow style, and a later version of it. */
export const versions: fc.Arbitrary<{ old: Files; now: Files }> = fc
  .tuple(
    cleanPlans.filter(({ files }) => /^ {2}- \{ id: op/m.test(files[planName]!)),
    fc.array(act, { minLength: 1, maxLength: 6 }),
  )
  .map(([{ files }, acts]) => ({
    old: files,
    now: { ...files, [planName]: acts.reduce((text, one, n) => apply(text, one, n), files[planName]!) },
  }));

const nameOf = ({ old, new: now }: Pair, mirrored: boolean): string =>
  mirrored ? `${now.id}=${old.id}` : `${old.id}=${now.id}`;

/** A comparison as plain lists in a settled order; `mirrored` reads it from the other side. */
export function plainly(comparison: Comparison, mirrored = false): Record<string, unknown> {
  const sides = <T>(old: T, now: T): readonly [T, T] => (mirrored ? [now, old] : [old, now]);
  const turned = <T extends { readonly old?: unknown; readonly new?: unknown }>({
    old,
    new: now,
  }: T): string => JSON.stringify(sides(old ?? null, now ?? null));
  const entries = (list: readonly EntryChange[]): string[] =>
    list
      .map((entryChange) =>
        [
          turned(entryChange),
          ...entryChange.changes.map((change) => change.key + turned(change)).sort(),
        ].join(' '),
      )
      .sort();
  const ids = (list: Comparison['added']): string[] => list.map(({ id }) => id).sort();
  const [added, removed] = sides(ids(comparison.added), ids(comparison.removed));
  const { money, findings } = comparison;
  const line = ({ steps, amount }: { steps: readonly string[]; amount: unknown }): string =>
    `${steps.join(' ')} ${String(amount)}`;
  const lines = (list: Comparison['money']['labour' | 'materials']): string[] =>
    list
      .map(({ old, new: now, changes, difference }) =>
        [
          JSON.stringify(sides(old ? line(old) : null, now ? line(now) : null)),
          ...changes.map((change) => change.key + turned(change)).sort(),
          (mirrored ? difference.times(-1) : difference).toFixed(2),
        ].join(' '),
      )
      .sort();
  const told = (list: readonly { finding: string; message: string }[]): string[] =>
    list.map(({ finding, message }) => `${finding}: ${message}`).sort();
  const [gone, fresh] = sides(told(findings.gone), told(findings.fresh));
  return {
    added,
    removed,
    renamed: comparison.renamed.map(turned).sort(),
    changed: comparison.changed
      .map((stepChange) =>
        [nameOf(stepChange, mirrored), ...stepChange.changes.map((c) => c.key + turned(c)).sort()].join(' '),
      )
      .sort(),
    order: comparison.order
      ?.map(({ first, second, kind, matters }) => {
        const is = (kind === 'lost') === mirrored ? 'gained' : 'lost';
        return `${is} ${nameOf(first, mirrored)} < ${nameOf(second, mirrored)} ${matters}`;
      })
      .sort(),
    head: comparison.head.map((one) => one.key + turned(one)).sort(),
    connectors: entries(comparison.connectors),
    readings: entries(comparison.readings),
    evidence: entries(comparison.evidence),
    labour: lines(money.labour),
    materials: lines(money.materials),
    net: money.net && (mirrored ? money.net.times(-1) : money.net).toFixed(2),
    exposures: comparison.exposures
      .map((exposureChange) => exposureChange.connector + turned(exposureChange))
      .sort(),
    gone,
    fresh,
    kept: findings.kept.length,
  };
}
