import { relative, sep } from 'node:path';
import type { ShardFile } from '../report/listing/listing.ts';
import { say } from '../language/phrase.ts';
import { UsageError } from './arguments.ts';
import type { Option } from './arguments.ts';
import { kindByPath, uriOf } from './targets.ts';
import type { Targets } from './targets.ts';
import { printError } from './terminal.ts';

/** One of the parts that a run is split into, for as many machines. */
export interface Shard {
  /** From 1. */
  readonly number: number;
  readonly of: number;
}

export const shardOption = {
  type: 'string',
  value: 'N/M',
  help: say`do part N of M only, such as 2/8: the plans are dealt out evenly and always alike, shared files go to every part; \`plugward merge\` puts the parts together`,
} as const satisfies Option;

/** @throws UsageError unless it is N/M with N from 1 to M */
export function readShard(value: string | undefined): Shard | undefined {
  if (value === undefined) return undefined;
  const [, number, of] = /^(\d{1,4})\/(\d{1,4})$/.exec(value) ?? [];
  if (Number(number) < 1 || !(Number(number) <= Number(of))) {
    throw new UsageError(say`--shard needs N/M, part N of M, such as 2/8, not '${value}'.`);
  }
  return { number: Number(number), of: Number(of) };
}

/**
 * The places in a list of files that belong to a part. Plans are dealt out in the order of their paths, so that the order in
 * which they were named makes no difference; every part has the shared files.
 */
export function placesInShard(files: readonly string[], { number, of }: Shard, cwd: string): number[] {
  const key = (path: string): string => relative(cwd, path).split(sep).join('/');
  const isShared = (path: string): boolean => ![undefined, 'repair-plan'].includes(kindByPath(path));
  const plans = [...files.keys()]
    .filter((at) => !isShared(files[at]!))
    .map((at) => ({ at, key: key(files[at]!) }))
    .sort((a, b) => (a.key < b.key ? -1 : 1))
    .filter((_, turn) => turn % of === number - 1)
    .map(({ at }) => at);
  return [...files.keys()]
    .filter((at) => isShared(files[at]!))
    .concat(plans)
    .sort((a, b) => a - b);
}

/** The targets of a part, and what they are in the whole run. */
export function inShard(
  targets: Targets,
  shard: Shard,
  cwd: string,
): { readonly targets: Targets; readonly files: readonly ShardFile[] } {
  if (targets.standardInput) throw new UsageError(say`--shard does not go with the path '-'.`);
  const places = placesInShard(targets.files, shard, cwd);
  const { number, of } = shard;
  printError(say`part ${number} of ${of}: ${places.length} of ${targets.files.length} files.`);
  return {
    targets: { ...targets, files: places.map((at) => targets.files[at]!) },
    files: places.map((at) => ({ uri: uriOf(targets.files[at]!), at })),
  };
}
