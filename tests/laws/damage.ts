import fc from 'fast-check';
import { cleanPlans } from './clean-plans.ts';
import type { CleanPlan } from './clean-plans.ts';

/** A clean plan in which a hand has slipped a few times: entries taken out, moved or doubled, words misspelt. */
export const damagedPlans: fc.Arbitrary<CleanPlan> = fc
  .tuple(
    cleanPlans,
    fc.array(fc.tuple(fc.nat(5), fc.nat(10_000), fc.nat(10_000)), { minLength: 1, maxLength: 3 }),
  )
  .map(([plan, slips]) => ({
    ...plan,
    files: { ...plan.files, [plan.name]: slips.reduce(damage, plan.files[plan.name]!) },
  }));

function damage(text: string, [kind, one, other]: readonly [number, number, number]): string {
  const lines = text.split('\n');
  const entries = entriesOf(lines);
  const entry = entries[one % entries.length]!;
  const body = lines.slice(entry.start, entry.end);
  const rest = [...lines.slice(0, entry.start), ...lines.slice(entry.end)];
  if (kind <= 1) return rest.join('\n');
  if (kind === 2) {
    const siblings = entriesOf(rest).filter(({ section }) => section === entry.section);
    const to = siblings[other % Math.max(1, siblings.length)]?.start ?? entry.start;
    return [...rest.slice(0, to), ...body, ...rest.slice(to)].join('\n');
  }
  if (kind === 3) {
    const again = body.map((line) => line.replace(/ # note-\d+/, ''));
    return [...lines.slice(0, entry.end), ...again, ...lines.slice(entry.end)].join('\n');
  }
  const [from, to] = words[other % words.length]!;
  const changed = body.map((line) => line.replace(from, to));
  return [...lines.slice(0, entry.start), ...changed, ...lines.slice(entry.end)].join('\n');
}

const words: readonly (readonly [RegExp, string])[] = [
  [/do: cover/, 'do: inspect'],
  [/do: uncover/, 'do: consult'],
  [/halves: both/, 'halves: plug'],
  [/dummy-plug/, 'masking-paper'],
  [/, by: technician-a/, ''],
  [/op(\d)0/, 'op$15'],
  [/high-voltage-power-1/, 'high-voltage-powr-1'],
  [/hours: 0\.1/, 'hours: 0.25'],
  [/four-wire/, 'two-wire'],
  [/reference: T1/, 'reference: T7'],
  [/reconnect/, 'lock'],
];

interface Entry {
  readonly section: string;
  readonly start: number;
  readonly end: number;
}

/** The entries of the top-level lists, as line numbers; comments between them belong to none. */
function entriesOf(lines: readonly string[]): Entry[] {
  const entries: { section: string; start: number; end: number }[] = [];
  let section = '';
  let open: (typeof entries)[number] | undefined;
  lines.forEach((line, i) => {
    if (/^[a-z]/.test(line)) section = line.split(':')[0]!;
    const inside = /^ {4}/.test(line);
    if (open && !inside) {
      open.end = i;
      open = undefined;
    }
    if (/^ {2}- /.test(line) && section !== 'uses')
      entries.push((open = { section, start: i, end: lines.length }));
  });
  return entries;
}
