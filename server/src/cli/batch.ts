import { availableParallelism } from 'node:os';
import { setFlagsFromString } from 'node:v8';
import { parentPort, Worker, workerData } from 'node:worker_threads';
import { hasInterruptBudget } from '../base/v8-flags.ts';
import { check } from '../features/check.ts';
import type { Diagnosis, Settings } from '../features/check.ts';
import type { ListedFinding, ListingFormat } from '../report/listing/listing.ts';
import { printable } from '../report/listing/printable.ts';
import { say } from '../language/phrase.ts';
import { Workspace } from '../workspace/workspace.ts';
import { readTextFile } from './files.ts';
import { removeIfPlan, readDocumentFile, shownName, addWithUses } from './gather.ts';
import { printoutOf } from './listing.ts';
import type { ListingOptions } from './listing.ts';
import { kindByPath, uriOf } from './targets.ts';
import type { Targets, FileFailure } from './targets.ts';
import { printError, progressOf, setLanguage, localizeOutput } from './terminal.ts';

/** A file that was checked: its part of the printout, and what there is to count. */
export interface Checked {
  readonly uri: string;
  readonly part: string;
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

/** Whether there are so many files that they are better read one after the other, in several threads. */
export const isBatch = ({ files, standardInput }: Targets): boolean =>
  files.length > filesPerThread && !standardInput && files.every((path) => kindByPath(path) !== undefined);

export function checkOne(
  workspace: Workspace,
  uri: string,
  printout: ListingFormat,
  settings: Settings,
  told = (_uri: string, findings: readonly Diagnosis[]): readonly Diagnosis[] => findings,
): Checked | FileFailure {
  try {
    const findings = told(uri, check(workspace, uri, settings));
    return {
      uri,
      part: printout.part({ uri, findings }, workspace),
      findings: findings.map(({ finding, severity }) => ({ finding, severity })),
    };
  } catch (error) {
    return failedOn(uri, error);
  }
}

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
  /** Shared counter: index of the next unclaimed file. */
  readonly next: Int32Array<SharedArrayBuffer>;
}

type Result = Checked | FileFailure;

/** The results of one share, from the place of its first file on. */
interface Share {
  readonly first: number;
  readonly results: readonly Result[];
}

/** Checks many files on all cores, keeping no file in memory longer than needed. */
export async function checkBatch(targets: Targets, look: ListingOptions, settings: Settings): Promise<Batch> {
  // With all cores busy, JIT compilation competes with checking; compile only hot code. About 10 % faster.
  if (hasInterruptBudget(process.versions.v8)) setFlagsFromString('--interrupt-budget=1000000');
  const { files } = targets;
  const folders = [look.cwd, ...targets.folders];
  const job: Job = { files, folders, look, settings, next: new Int32Array(new SharedArrayBuffer(4)) };
  const progress = progressOf(files.length);
  const results: Result[] = [];
  const take = (share: Share): void =>
    share.results.forEach((result, i) => {
      results[share.first + i] = result;
      progress.step();
    });
  const threads = Math.min(availableParallelism(), mostThreads, Math.ceil(files.length / filesPerThread));
  const others = Array.from({ length: threads - 1 }, () => inThread(job, take));
  await work(job, take);
  const reasons = await Promise.all(others);
  // Files lost with a crashed thread are rechecked here.
  const lost = [...files.keys()].filter((at) => results[at] === undefined);
  const checkFile = checkerOf(job);
  for (const at of lost) results[at] = await checkFile(files[at]!);
  progress.end();
  if (lost.length > 0) {
    const why = reasons.find((reason) => reason !== undefined) ?? 'it stopped';
    printError(
      say`a checking thread failed (${printable(why)}); its ${lost.length} files were checked again.`,
    );
  }
  return {
    checked: results.filter((one) => 'part' in one),
    trouble: [...targets.trouble, ...results.filter((one) => 'reason' in one)],
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
async function work(job: Job, done: (share: Share) => void): Promise<void> {
  const checkFile = checkerOf(job);
  for (;;) {
    const first = Atomics.add(job.next, 0, filesPerShare);
    if (first >= job.files.length) return;
    const results: Result[] = [];
    for (const path of job.files.slice(first, first + filesPerShare)) results.push(await checkFile(path));
    done({ first, results });
  }
}

/** Checks one file after the other. */
function checkerOf({ files, folders, look, settings }: Job): (path: string) => Promise<Result> {
  const workspace = new Workspace();
  const printout = printoutOf(look);
  let uris: ReadonlySet<string> | undefined;
  const asked = (uri: string): boolean => (uris ??= new Set(files.map(uriOf))).has(uri);
  return async (path) => {
    const uri = uriOf(path);
    const file = await readDocumentFile(uri, () => readTextFile(path));
    if ('reason' in file) return file;
    try {
      await addWithUses(workspace, uri, file.text, { folders, asked });
    } catch (error) {
      workspace.remove(uri);
      return failedOn(uri, error);
    }
    const result = checkOne(workspace, uri, printout, settings);
    removeIfPlan(workspace, uri);
    return result;
  };
}

/** Entry point of a worker thread started by `checkBatch`. */
export function runWorker(): Promise<void> {
  const job = workerData as Job;
  setLanguage(job.look.language ?? 'en');
  return work(job, (share) => parentPort!.postMessage(share));
}
