// Tries many damaged and invented texts, one after the other, in a worker that another thread watches. Bundled and
// started by `tests/hardening/fuzz.ts`; prints one line of JSON for each fault, and one at the end with the counts.
import { isMainThread, parentPort, Worker, workerData } from 'node:worker_threads';
import { check } from '../../../server/src/features/check.ts';
import type { Workspace } from '../../../server/src/workspace/workspace.ts';
import type { Text } from '../../laws/texts.ts';
import { editsOf } from '../../support/editing.ts';
import { workspaceOf } from '../../support/files.ts';
import { ask } from './ask.ts';
import type { Effort } from './ask.ts';
import { Random } from './random.ts';
import { drawn, large, small } from './texts.ts';

interface Job {
  readonly seed: number;
  readonly documents: number;
  readonly sequences: number;
  readonly first: number;
  /** Which text is being tried, by which the watcher tells standing still from going on; the longest time one took, in ms, and which it was. */
  readonly at: Int32Array;
}

interface Fault {
  readonly kind: 'document' | 'sequence' | 'stuck';
  readonly number: number;
  readonly how: string;
  readonly error: string;
  readonly text?: string;
}

/** A text or a sequence that takes longer than this hangs. Unit: ms. */
const patience = 30_000;
/** Edits in a sequence. */
const length = 8;

const settings = { today: '2027-02-10' };
const uriOf = (name: string): string => `file:///plans/${name}`;

/** Every text is checked; every fourth also asked about at places; every twelfth about everything. */
const effortOf = (number: number): Effort =>
  number % 12 === 0 ? 'all' : number % 4 === 0 ? 'places' : 'check';

const bases = new WeakMap<object, Workspace>();

/** The files around a text, read once; `uri` is set by who asks. */
function around({ files }: Text): Workspace {
  let base = bases.get(files);
  if (!base) bases.set(files, (base = workspaceOf(files)));
  return base;
}

/** Nothing is on a disk here: what is used and not among the files is absent. */
function put(workspace: Workspace, uri: string, text: string): void {
  workspace.set(uri, text);
  for (const wanted of workspace.wanted()) workspace.markAbsent(wanted);
}

function tryDocument(seed: number, number: number): Fault | undefined {
  const random = new Random(seed, number);
  const one = drawn(random);
  try {
    const workspace = around(one).fork();
    put(workspace, uriOf(one.name), one.text);
    ask(workspace, uriOf(one.name), random, effortOf(number));
    return undefined;
  } catch (error) {
    return { kind: 'document', number, how: one.how, error: say(error), text: one.text };
  }
}

/** After a sequence of edits the findings are those of the same text read afresh. */
function trySequence(seed: number, number: number): Fault | undefined {
  const random = new Random(seed ^ 0x5eed, number);
  const one = random.pick(random.chance(0.98) ? small : large);
  const uri = uriOf(one.name);
  let text = one.text;
  try {
    // The same workspace from one sequence to the next, as in an editor: what lingers would show.
    const workspace = around(one);
    for (text of editsOf(one.text, length, seed + number)) {
      put(workspace, uri, text);
      check(workspace, uri, settings);
    }
    ask(workspace, uri, random, number % 20 === 0 ? 'all' : 'check');
    const fresh = workspace.fork();
    fresh.remove(uri);
    fresh.set(uri, text);
    const [now, then] = [workspace, fresh].map((of) => JSON.stringify(check(of, uri, settings)));
    if (now !== then) throw new Error(`after edits: ${now!}\nread afresh: ${then!}`);
    put(workspace, uri, one.text);
    return undefined;
  } catch (error) {
    return { kind: 'sequence', number, how: one.name, error: say(error), text };
  }
}

const say = (error: unknown): string =>
  error instanceof Error ? (error.stack ?? error.message) : String(error);

/** Sequences are spread evenly among the documents, so that a run that is ended early has done some of both. */
function isSequence(n: number, documents: number, sequences: number): boolean {
  const before = (upTo: number): number => Math.floor((upTo * sequences) / (documents + sequences));
  return before(n + 1) > before(n);
}

function work({ seed, documents, sequences, first, at }: Job): void {
  for (let n = first; n < documents + sequences; n++) {
    Atomics.store(at, 0, n);
    const before = performance.now();
    const fault = isSequence(n, documents, sequences) ? trySequence(seed, n) : tryDocument(seed, n);
    const took = Math.round(performance.now() - before);
    if (took > Atomics.load(at, 1)) [took, n].forEach((value, i) => Atomics.store(at, i + 1, value));
    if (fault) parentPort!.postMessage(fault);
  }
}

async function watch(seed: number, documents: number, sequences: number): Promise<object> {
  const at = new Int32Array(new SharedArrayBuffer(12));
  let faults = 0;
  const tell = (fault: Fault): void => {
    faults++;
    console.log(JSON.stringify(fault));
  };
  let first = 0;
  while (first < documents + sequences) {
    const job: Job = { seed, documents, sequences, first, at };
    const worker = new Worker(new URL(import.meta.url), {
      workerData: job,
      resourceLimits: { maxOldGenerationSizeMb: 512 },
    });
    worker.on('message', tell);
    let seen = -1;
    const timer = setInterval(() => {
      const now = Atomics.load(at, 0);
      if (now === seen) void worker.terminate();
      seen = now;
      console.error(`${now} of ${documents + sequences}, ${faults} faults`);
    }, patience);
    const trouble = await new Promise<string | undefined>((resolve) => {
      worker.once('error', (error) => resolve(say(error)));
      worker.once('exit', (code) => resolve(code === 0 ? undefined : `stood still for ${patience} ms`));
    });
    clearInterval(timer);
    if (trouble === undefined) break;
    const number = Atomics.load(at, 0);
    const { how, text } = isSequence(number, documents, sequences)
      ? { how: 'sequence', text: '' }
      : drawn(new Random(seed, number));
    tell({ kind: 'stuck', number, how, error: trouble, text });
    first = number + 1;
  }
  // For whoever reads along: how long the slowest took says something about the machine as well.
  const slowest = { ms: Atomics.load(at, 1), number: Atomics.load(at, 2) };
  const megabytes = Math.round(process.resourceUsage().maxRSS / 1024);
  console.error(JSON.stringify({ slowest, megabytes }));
  return { seed, documents, sequences, edits: sequences * length, faults };
}

if (isMainThread) {
  const [seed, documents, sequences] = process.argv.slice(2).map(Number) as [number, number, number];
  console.log(JSON.stringify(await watch(seed, documents, sequences)));
} else {
  work(workerData as Job);
}
