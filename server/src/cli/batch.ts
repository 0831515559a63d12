import { availableParallelism } from 'node:os';
import { setFlagsFromString } from 'node:v8';
import { parentPort, Worker, workerData } from 'node:worker_threads';
import { hasInterruptBudget } from '../base/v8-flags.ts';
import { check, find } from '../features/check.ts';
import type { Diagnosis, Settings } from '../features/check.ts';
import type { ListedFinding, ListingFormat, Sources } from '../report/listing/listing.ts';
import { printable } from '../report/listing/printable.ts';
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
import { printError, progressOf, setLanguage, localizeOutput } from './terminal.ts';

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

/** Files per thread at which starting another thread pays off. */
const filesPerThread = 100;
const mostThreads = 8;
/** Files that a thread takes at a time. */
const filesPerShare = 8;

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
function failedOn(uri: string, error: unknown): FileFailure {
  const reason = say`the checker failed on it; please report this: ${String(error)}`;
  return { uri, reason: localizeOutput(reason) };
}

/** The data passed to all threads of a batch. */
interface Job {
  readonly files: readonly string[];
  /** The folders in which what a file uses may lie. */
  readonly folders: readonly string[];
  readonly look: ListingOptions;
  readonly settings: Settings;
  readonly cache: CachePlace | undefined;
  /** Shared counter: index of the next unclaimed file. */
  readonly next: Int32Array<SharedArrayBuffer>;
}

interface Result {
  readonly result: Checked | FileFailure;
  /** Files that this one uses, and that are there and cannot be read. */
  readonly unread: readonly FileFailure[];
  /** Whether it was answered from the cache. */
  readonly wasKnown?: true;
}

/** The results of one share, from the place of its first file on. */
interface Share {
  readonly first: number;
  readonly results: readonly Result[];
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
  const folders = [look.cwd, ...targets.folders];
  const job: Job = { files, folders, look, settings, cache, next: new Int32Array(new SharedArrayBuffer(4)) };
  const progress = progressOf(files.length);
  const results: Result[] = [];
  const take = (share: Share): void =>
    share.results.forEach((result, i) => {
      results[share.first + i] = result;
      progress.step();
    });
  const threads = Math.min(
    jobs ?? Math.min(availableParallelism(), mostThreads),
    Math.ceil(files.length / filesPerThread),
  );
  // With all cores busy, JIT compilation competes with checking; compile only hot code. About 10 % faster.
  if (threads > 1 && hasInterruptBudget(process.versions.v8))
    setFlagsFromString('--interrupt-budget=1000000');
  const others: Promise<string | undefined>[] = [];
  const checker = checkerOf(job);
  await work(job, checker, (share) => {
    take(share);
    // Where all is known from an earlier run, another thread would come too late.
    if (others.length > 0 || share.results.every(({ wasKnown }) => wasKnown)) return;
    for (let i = 1; i < threads; i++) others.push(inThread(job, take));
  });
  const reasons = await Promise.all(others);
  // Files lost with a crashed thread are rechecked here.
  const lost = [...files.keys()].filter((at) => results[at] === undefined);
  for (const at of lost) results[at] = await checker.check(files[at]!);
  checker.close();
  progress.end();
  if (lost.length > 0) {
    const why = reasons.find((reason) => reason !== undefined) ?? 'it stopped';
    printError(
      say`a checking thread failed (${printable(why)}); its ${lost.length} files were checked again.`,
    );
  }
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

/** Does the work of one more thread; settles when that has ended, with the error it died of. */
function inThread(job: Job, take: (share: Share) => void): Promise<string | undefined> {
  return new Promise((resolve) => {
    const thread = new Worker(__filename, { workerData: job });
    thread.on('message', take);
    thread.on('error', (error) => resolve(String(error)));
    thread.on('exit', () => resolve(undefined));
  });
}

/** Takes shares of the job until there are none left. */
async function work(job: Job, checker: Checker, done: (share: Share) => void): Promise<void> {
  for (;;) {
    const first = Atomics.add(job.next, 0, filesPerShare);
    if (first >= job.files.length) return;
    const results: Result[] = [];
    for (const path of job.files.slice(first, first + filesPerShare)) results.push(await checker.check(path));
    done({ first, results });
  }
}

interface Checker {
  check(path: string): Promise<Result>;
  close(): void;
}

/** Checks one file after the other. */
function checkerOf({ files, folders, look, settings, cache }: Job): Checker {
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

/** Entry point of a worker thread started by `checkBatch`. */
export function runWorker(): Promise<void> {
  const job = workerData as Job;
  setLanguage(job.look.language ?? 'en');
  return work(job, checkerOf(job), (share) => parentPort!.postMessage(share));
}
