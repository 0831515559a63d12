import { parse } from 'yaml';
import { written } from '../laws/mutations.ts';

type Entry = Readonly<Record<string, unknown>> & { readonly id?: unknown };
type Text = Readonly<Record<string, unknown>>;

/** One plan behind another, on one vehicle, the steps of the second with names of their own; undefined where one is no plan. */
export function joined(first: string, second: string): string | undefined {
  const [one, other] = [read(first), read(second)];
  if (!one || !other) return undefined;
  const steps = new Set(entriesOf(other['operations']).map(({ id }) => id));
  const renamed = withNames(other, (word) =>
    steps.has(word.split('/')[0]!) ? `then-${word}` : word,
  ) as Text;
  const all: Record<string, unknown> = { ...renamed, ...one };
  for (const [key, mine] of Object.entries(one)) {
    const theirs = renamed[key];
    if (Array.isArray(mine) && Array.isArray(theirs)) {
      const known = new Set(entriesOf(mine).map((entry) => entry.id ?? entry));
      all[key] = [
        ...(mine as unknown[]),
        ...entriesOf(theirs).filter((entry) => !known.has(entry.id ?? entry)),
      ];
    } else if (key === 'vehicle') all[key] = { ...(theirs as object | undefined), ...(mine as object) };
  }
  return written(all);
}

function read(text: string): Text | undefined {
  try {
    const found: unknown = parse(text, { logLevel: 'silent' });
    return typeof found === 'object' && found !== null && 'operations' in found ? (found as Text) : undefined;
  } catch {
    return undefined;
  }
}

const entriesOf = (list: unknown): Entry[] =>
  Array.isArray(list) ? (list as (Entry | null)[]).map((entry) => entry ?? {}) : [];

function withNames(value: unknown, nameOf: (word: string) => string): unknown {
  if (typeof value === 'string') return nameOf(value);
  if (Array.isArray(value)) return value.map((one) => withNames(one, nameOf));
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([key, one]) => [key, withNames(one, nameOf)]));
}
