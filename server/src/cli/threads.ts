import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import { say } from '../language/phrase.ts';
import { printable } from '../report/listing/printable.ts';
import { printError } from './terminal.ts';
import { threadArgument } from './thread-argument.ts';

/** Files per thread at which starting another thread pays off. */
const filesPerThread = 100;
const maxThreads = 8;
/** Files that a thread takes at a time. */
const filesPerShare = 8;

/** What is done to many files in several threads: plain data, handed to each thread. */
export interface Job<Task extends string, Details> {
  readonly task: Task;
  readonly files: readonly string[];
  /** Tag of the language; English when undefined. */
  readonly language: string | undefined;
  readonly details: Details;
  /** Shared counter: index of the next unclaimed file. */
  readonly next: Int32Array<SharedArrayBuffer>;
}

/** What is done to one file. */
export type Act<R> = (path: string) => Promise<R>;

/** The results of one share, from the place of its first file on. */
interface Share<R> {
  readonly first: number;
  readonly results: readonly R[];
}

export interface ThreadOptions<R> {
  /** Threads at most; as many as there are cores, within reason, when undefined. */
  readonly jobs: number | undefined;
  /** Is given each result as it comes. */
  readonly take: (result: R, at: number) => void;
  /** Whether a result took no work: where all are so, another thread would come too late. */
  readonly isLight: (result: R) => boolean;
}

/** Does the same to many files, in this thread and, where there are many, in others. */
export async function inThreads<Task extends string, Details, R>(
  task: Task,
  { files, language, details }: Pick<Job<Task, Details>, 'files' | 'language' | 'details'>,
  act: Act<R>,
  { jobs, take, isLight }: ThreadOptions<R>,
): Promise<void> {
  const next = new Int32Array(new SharedArrayBuffer(4));
  const job: Job<Task, Details> = { task, files, language, details, next };
  const done = new Set<number>();
  const takeShare = ({ first, results }: Share<R>): void =>
    results.forEach((result, i) => {
      done.add(first + i);
      take(result, first + i);
    });
  const threads = Math.min(
    jobs ?? Math.min(availableParallelism(), maxThreads),
    Math.ceil(files.length / filesPerThread),
  );
  const others: Promise<string | undefined>[] = [];
  await work(job, act, (share) => {
    takeShare(share);
    if (others.length > 0 || share.results.every(isLight)) return;
    for (let i = 1; i < threads; i++) others.push(inThread(job, takeShare));
  });
  const reasons = await Promise.all(others);
  // Files lost with a crashed thread are dealt with here.
  const lost = [...files.keys()].filter((at) => !done.has(at));
  for (const at of lost) take(await act(files[at]!), at);
  if (lost.length > 0) {
    const why = reasons.find((reason) => reason !== undefined) ?? 'it stopped';
    printError(
      say`a checking thread failed (${printable(why)}); its ${lost.length} files were checked again.`,
    );
  }
}

/** Does the work of one more thread; settles when that has ended, with the error it died of. */
function inThread<R>(job: object, take: (share: Share<R>) => void): Promise<string | undefined> {
  return new Promise((resolve) => {
    const thread = new Worker(process.argv[1] ?? __filename, { workerData: job, argv: [threadArgument] });
    thread.on('message', take);
    thread.on('error', (error) => resolve(String(error)));
    thread.on('exit', () => resolve(undefined));
  });
}

/** Takes shares of the job until there are none left. */
export async function work<R>(
  { files, next }: Pick<Job<string, unknown>, 'files' | 'next'>,
  act: Act<R>,
  done: (share: Share<R>) => void,
): Promise<void> {
  for (;;) {
    const first = Atomics.add(next, 0, filesPerShare);
    if (first >= files.length) return;
    const results: R[] = [];
    for (const path of files.slice(first, first + filesPerShare)) results.push(await act(path));
    done({ first, results });
  }
}
