import { say } from '../language/phrase.ts';
import { jsonText } from '../report/listing/json-text.ts';
import type { ShownShard } from '../report/listing/listing.ts';
import { printable } from '../report/listing/printable.ts';
import { UsageError } from './arguments.ts';

/** A part of any form, with what it says of itself. */
export interface Part<T> {
  readonly path: string;
  readonly shard: ShownShard;
  readonly content: T;
}

export const noPart = (path: string): UsageError =>
  new UsageError(
    say`${printable(path)} is no part of a run: make one with \`plugward check --shard N/M\` as SARIF or JSON, or \`plugward report review FOLDER --shard N/M\`.`,
  );

/** @throws UsageError unless the parts are all parts of one run */
export function requireWhole(parts: readonly Part<unknown>[]): void {
  const [{ shard: first }] = parts as [Part<unknown>];
  for (const { path, shard } of parts) {
    if (shard.of !== first.of || shard.total !== first.total)
      throw new UsageError(
        say`${printable(path)} is a part of another run than ${printable(parts[0]!.path)}.`,
      );
    if (shard.today !== first.today)
      throw new UsageError(say`The parts were checked as of different days; give each the same --today.`);
  }
  const numbers = parts.map(({ shard }) => shard.number);
  for (let number = 1; number <= first.of; number++) {
    const times = numbers.filter((one) => one === number).length;
    if (times === 0) throw new UsageError(say`Part ${number} of ${first.of} is missing.`);
    if (times > 1) throw new UsageError(say`Part ${number} of ${first.of} is there twice.`);
  }
  const places = new Set(parts.flatMap(({ shard }) => shard.files.map(([, at]) => at)));
  if (places.size !== first.total || numbers.length !== first.of)
    throw new UsageError(say`The parts hold ${places.size} files, and their run had ${first.total}.`);
}

/** @throws UsageError for a part that was edited: what should be a list of objects is none */
function requireList(value: unknown, path: string): void {
  const isObject = (one: unknown): boolean => typeof one === 'object' && one !== null;
  if (!Array.isArray(value) || !value.every(isObject)) throw noPart(path);
}

/**
 * What the parts say of each file, in the order of the whole run. A shared file is in every part, and counts once.
 * @throws UsageError where two parts say different things of one file
 */
export function filesInOrder<T>(
  parts: readonly { readonly path: string; readonly shard: ShownShard; readonly entries: readonly T[] }[],
) {
  const files = new Map<
    number,
    { readonly name: string; readonly checked: boolean; readonly entries: readonly T[] }
  >();
  for (const { path, shard, entries } of parts) {
    requireList(entries, path);
    let next = 0;
    for (const [name, at, count] of shard.files) {
      const own = entries.slice(next, (next += count ?? 0));
      const known = files.get(at);
      if (known && (known.name !== name || jsonText(known.entries) !== jsonText(own)))
        throw new UsageError(
          say`${printable(path)} says something else of ${printable(name)} than another part; the parts are not of one run.`,
        );
      if (!known) files.set(at, { name, checked: count !== null, entries: own });
    }
    if (next !== entries.length) throw noPart(path);
  }
  return [...files].sort(([a], [b]) => a - b).map(([, file]) => file);
}

/** What could not be read, each once: what every part tells, then the files in their order. */
export function unreadOf<T>(
  parts: readonly { readonly path: string; readonly unread: readonly T[] }[],
  placeOf: (one: T) => number,
): T[] {
  for (const { path, unread } of parts) requireList(unread, path);
  const found = new Map(parts.flatMap(({ unread }) => unread).map((one) => [jsonText(one), one]));
  return [...found.values()].sort((a, b) => placeOf(a) - placeOf(b));
}

export const placesOf = (parts: readonly Part<unknown>[]): ((name: string) => number) => {
  const places = new Map(parts.flatMap(({ shard }) => shard.files.map(([name, at]) => [name, at] as const)));
  return (name) => places.get(name) ?? -1;
};
