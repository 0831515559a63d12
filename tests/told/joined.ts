import { parse } from 'yaml';
import { written } from '../laws/mutations.ts';

type Entry = Readonly<Record<string, unknown>> & { readonly id?: unknown };
type Text = Readonly<Record<string, unknown>>;

/**
 * One plan behind another, on one vehicle, the steps of the second with names of their own; undefined where one is no plan.
 * @param people who do the second: each of them what the one before did
 */
export function joined(first: string, second: string, people: readonly string[] = []): string | undefined {
  const [one, other] = [read(first), read(second)];
  if (!one || !other) return undefined;
  const steps = new Set(entriesOf(other['operations']).map(({ id }) => id));
  const renamed = withNames(other, (word) => {
    const place = people.indexOf(word);
    return steps.has(word.split('/')[0]!)
      ? `then-${word}`
      : place < 0
        ? word
        : (people[place + 1] ?? people[0]!);
  }) as Text;
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

/** Who does the steps of a text, and two at the least. */
export function peopleIn(text: string): string[] {
  const people = [...new Set(entriesOf(read(text)?.['operations']).map(({ by }) => by))];
  const named = people.filter((one) => typeof one === 'string');
  return named.length === 1 ? [...named, `${named[0]}-2`] : named;
}

/**
 * The same plan with its steps behind a part of them in a procedure that it follows; undefined where it is no plan or has no such steps.
 * @param procedure the name of that procedure
 */
export function inside(
  text: string,
  procedure: string,
  part: number,
): { readonly plan: string; readonly procedure: string } | undefined {
  const plan = read(text);
  if (!plan) return undefined;
  const steps = entriesOf(plan['operations']);
  const from = Math.ceil(steps.length * part);
  const moved = steps.slice(from);
  if (moved.length === 0) return undefined;
  const names = new Set(moved.map(({ id }) => id));
  // A procedure knows nothing of the plan's steps.
  const own = moved.map(({ after, ...rest }) => {
    const known = [after ?? []].flat().filter((one) => names.has(one));
    return known.length > 0 ? { ...rest, after: known } : rest;
  });
  const renamed = withNames({ ...plan, operations: steps.slice(0, from) }, (word) =>
    names.has(word.split('/')[0]) ? `${procedure}/${word}` : word,
  ) as Text;
  const { sources } = plan;
  return {
    plan: written({
      ...renamed,
      uses: [...[plan['uses'] ?? []].flat(), `./${procedure}.shop-procedure.yaml`],
      operations: [...entriesOf(renamed['operations']), { id: procedure, follow: procedure }],
    }),
    procedure: written({ procedure, ...(sources === undefined ? {} : { sources }), operations: own }),
  };
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
