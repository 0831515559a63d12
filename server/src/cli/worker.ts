import { parentPort, workerData } from 'node:worker_threads';
import { checkerOf } from './batch.ts';
import type { CheckDetails } from './batch.ts';
import { fixerOf } from './fix-batch.ts';
import type { FixDetails } from './fix-batch.ts';
import { setLanguage } from './terminal.ts';
import { work } from './threads.ts';
import type { Act, Job } from './threads.ts';

/** Entry point of a thread that `inThreads` has started. */
export function runWorker(): Promise<void> {
  const job = workerData as Job<'check', CheckDetails> | Job<'fix', FixDetails>;
  setLanguage(job.language ?? 'en');
  const act: Act<unknown> =
    job.task === 'check' ? checkerOf(job.files, job.details).check : fixerOf(job.files, job.details).fix;
  return work(job, act, (share) => parentPort!.postMessage(share));
}
