import { check, find } from '../features/check.ts';
import type { Diagnosis, Settings } from '../features/check.ts';
import type { ListedFinding, ListingFormat, Sources } from '../report/listing/listing.ts';
import { say } from '../language/phrase.ts';
import { Workspace } from '../workspace/workspace.ts';
import { decode, readBytes } from './files.ts';
import { reasonOf } from './reasons.ts';
import { onDisk, readUsed, removeIfPlan, shownName, tellOnce } from './gather.ts';
import { FindingsCache } from './known-findings.ts';
import type { CachePlace } from './known-findings.ts';
import { printoutsOf } from './listing.ts';
import type { ListingOptions } from './listing.ts';
import { kindByPath, uriOf } from './targets.ts';
import type { Targets, FileFailure } from './targets.ts';
import { localizeOutput, progressOf } from './terminal.ts';
import { inThreads } from './threads.ts';
import type { Act } from './threads.ts';

/** A file that was checked: its part of each printout, and what there is to count. */
export interface Checked {
  readonly uri: string;
  readonly parts: readonly string[];
  readonly findings: readonly Pick<ListedFinding, 'finding' | 'severity'>[];
}

/** The results of a run, in the requested order. */
export interface Batch {
  readonly checked: readonly Checked[];
  /** What could not be read or checked. */
  readonly trouble: readonly FileFailure[];
  readonly name: (uri: string) => string;
  /** Paths of what was read, as far as it was named. */
  inputs(): Iterable<string>;
}

/** Whether each file can be read and checked by itself, in several threads if there are many. */
export const isBatch = ({ files, standardInput }: Targets): boolean =>
  !standardInput && files.every((path) => kindByPath(path) !== undefined);

export function checkOne(
  workspace: Workspace,
  uri: string,
  printouts: readonly ListingFormat[],
  settings: Settings,
  told = (_uri: string, findings: readonly Diagnosis[]): readonly Diagnosis[] => findings,
): Checked | FileFailure {
  try {
    return listed(uri, told(uri, check(workspace, uri, settings)), printouts, workspace);
  } catch (error) {
    return failedOn(uri, error);
  }
}

const listed = (
  uri: string,
  findings: readonly Diagnosis[],
  printouts: readonly ListingFormat[],
  sources: Sources,
): Checked => ({
  uri,
  parts: printouts.map((printout) => printout.part({ uri, findings }, sources)),
  findings: findings.map(({ finding, severity }) => ({ finding, severity })),
});

/** A checker failure on one file must not stop the others. */
export function failedOn(uri: string, error: unknown): FileFailure {
  const reason = say`the checker failed on it; please report this: ${String(error)}`;
  return { uri, reason: localizeOutput(reason) };
}

/** What a thread needs to know to check files. */
export interface CheckDetails {
  /** The folders in which what a file uses may lie. */
  readonly folders: readonly string[];
  readonly look: ListingOptions;
  readonly settings: Settings;
  readonly cache: CachePlace | undefined;
}

interface Result {
  readonly result: Checked | FileFailure;
  /** Files that this one uses, and that are there and cannot be read. */
  readonly unread: readonly FileFailure[];
  /** Whether it was answered from the cache. */
  readonly wasKnown?: true;
}

/** How a batch is run. */
export interface BatchOptions {
  /** Threads at most; as many as there are cores, within reason, when undefined. */
  readonly jobs?: number | undefined;
  readonly cache?: CachePlace | undefined;
}

/** Checks files on all cores, keeping none in memory longer than needed. */
export async function checkBatch(
  targets: Targets,
  look: ListingOptions,
  settings: Settings,
  { jobs, cache }: BatchOptions = {},
): Promise<Batch> {
  const { files } = targets;
  const details: CheckDetails = { folders: [look.cwd, ...targets.folders], look, settings, cache };
  const progress = progressOf(files.length);
  const results: Result[] = [];
  const checker = checkerOf(files, details);
  await inThreads('check', { files, language: look.language, details }, checker.check, {
    jobs,
    take(result, at) {
      results[at] = result;
      progress.step();
    },
    isLight: ({ wasKnown }) => wasKnown === true,
  });
  checker.close();
  progress.end();
  const trouble = new Map<string, FileFailure>();
  const tell = (failure: FileFailure): unknown =>
    trouble.has(failure.uri) || trouble.set(failure.uri, failure);
  targets.trouble.forEach(tell);
  for (const { result } of results) if ('reason' in result) tell(result);
  for (const { unread } of results) unread.forEach(tell);
  return {
    checked: results.flatMap(({ result }) => ('parts' in result ? result : [])),
    trouble: [...trouble.values()],
    name: (uri) => shownName(uri, look.cwd),
    inputs: () => files,
  };
}

interface Checker {
  readonly check: Act<Result>;
  /** At the end of a run. */
  readonly close: () => void;
}

/** Checks one file after the other. */
export function checkerOf(
  files: readonly string[],
  { folders, look, settings, cache }: CheckDetails,
): Checker {
  const workspace = new Workspace();
  const printouts = printoutsOf(look);
  let uris: ReadonlySet<string> | undefined;
  const asked = (uri: string): boolean => (uris ??= new Set(files.map(uriOf))).has(uri);
  const source = onDisk({ folders, asked });
  const known = cache && new FindingsCache(cache, settings, look, source);
  const check = async (uri: string, path: string): Promise<Result> => {
    const bytes = readBytes(path);
    const earlier = await known?.find(uri, bytes);
    if (earlier) {
      const { counted, parts } = earlier;
      if (parts) return { result: { uri, parts, findings: counted }, unread: [], wasKnown: true };
      const { findings, sources } = earlier.all();
      const result = listed(uri, findings, printouts, sources);
      earlier.printed(result.parts);
      return { result, unread: [], wasKnown: true };
    }
    const { text } = decode(bytes);
    const unread: FileFailure[] = [];
    try {
      workspace.set(uri, text);
      await readUsed(workspace, source, tellOnce(unread));
      const found = find(workspace, uri, settings);
      const findings = found.map(({ diagnosis }) => diagnosis);
      const result = listed(uri, findings, printouts, workspace);
      // A check that failed may succeed another time.
      if (!found.some(({ failed }) => failed))
        known?.keep(uri, bytes, workspace, { findings, parts: result.parts });
      removeIfPlan(workspace, uri);
      return { result, unread };
    } catch (error) {
      workspace.remove(uri);
      return { result: failedOn(uri, error), unread };
    }
  };
  return {
    async check(path) {
      const uri = uriOf(path);
      try {
        return await check(uri, path);
      } catch (error) {
        return { result: { uri, reason: reasonOf(error) }, unread: [] };
      }
    },
    close: () => known?.close(),
  };
}
