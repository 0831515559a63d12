// Tries many damaged and invented texts, one after the other, in a worker that another thread watches. Bundled and
// started by `tests/hardening/fuzz.test.ts`; prints one line of JSON for each fault, and one at the end with the counts.
import { isMainThread, parentPort, Worker, workerData } from 'node:worker_threads';
import { check } from './check.ts';
import { hints } from '../../../server/src/features/hints.ts';
import { lenses } from '../../../server/src/features/lenses.ts';
import { outline } from '../../../server/src/features/outline.ts';
import { preview } from '../../../server/src/features/preview.ts';
import type { Workspace } from '../../../server/src/workspace/workspace.ts';
import type { Text } from '../../laws/texts.ts';
import { editsOf } from '../../support/editing.ts';
import { sampleUri, samples, workspaceOf } from '../../support/files.ts';
import { ask } from './ask.ts';
import type { Effort } from './ask.ts';
import { Random } from './random.ts';
import { drawn, large, small } from './texts.ts';

interface Job {
  readonly seed: number;
  readonly documents: number;
  readonly sequences: number;
  readonly first: number;
  /** Which text is being tried, by which the watcher tells standing still from going on; the dearest, in ms, and which it was. */
  readonly at: Int32Array;
}

interface Fault {
  readonly kind: 'document' | 'sequence' | 'stuck' | 'slow';
  readonly number: number;
  readonly how: string;
  readonly error: string;
  readonly text?: string;
}

/** A text or a sequence that takes longer than this hangs, however loaded the machine is. Unit: ms. */
const patience = 30_000;
/** The memory the program may hold on to, for any of these texts. Unit: MB. */
const heap = 256;
/**
 * What a text of up to `size` characters may cost: so many times what reading and checking the largest sample afresh
 * costs on the same machine, in processor time: about a second where that takes 10 ms. Asking for everything there is
 * asks some thirty things.
 */
const dear = { size: 100_000, times: { check: 100, places: 200, all: 800 } };
/** Texts in a sequence, each an edit of the one before. */
const length = 8;

const settings = { today: '2027-02-10' };
const uriOf = (name: string): string => `file:///plans/${name}`;

/** Every text is checked; every tenth also asked about at places; every fortieth about everything. */
const effortOf = (number: number): Effort =>
  number % 40 === 0 ? 'all' : number % 10 === 0 ? 'places' : 'check';

/** The last ones only: all fixtures together would fill the memory that a text may use. */
const bases = new Map<object, Workspace>();
const maxBases = 200;

/** The files around a text, read once for the texts that come after each other; `uri` is set by who asks. */
function around({ files }: Text): Workspace {
  let base = bases.get(files);
  if (!base) {
    if (bases.size >= maxBases) bases.clear();
    bases.set(files, (base = workspaceOf(files)));
  }
  return base;
}

/** Nothing is on a disk here: what is used and not among the files is absent, and so is every photograph. */
function put(workspace: Workspace, uri: string, text: string): void {
  workspace.set(uri, text);
  for (const wanted of workspace.missingFiles()) workspace.markAbsent(wanted);
  for (const photo of workspace.unknownPhotos()) workspace.markPhoto(photo, false);
}

/** A text arrives as a large edit of the one it was made of; every fifth must say what it says when read afresh. */
function tryDocument(seed: number, number: number): Fault | undefined {
  const random = new Random(seed, number);
  const one = drawn(random);
  const uri = uriOf(one.name);
  const workspace = around(one);
  try {
    if (one.from !== undefined) put(workspace, uri, one.from);
    put(workspace, uri, one.text);
    ask(workspace, uri, random, effortOf(number));
    if (number % 5 === 0) saysTheSame(workspace, [uri], uri, check);
    return undefined;
  } catch (error) {
    return { kind: 'document', number, how: one.how, error: say(error), text: one.text };
  }
}

type Answer = (workspace: Workspace, uri: string, settings: object) => unknown;

/** @throws Error when what is answered after edits of some files is not what is answered when they are read afresh */
function saysTheSame(workspace: Workspace, edited: readonly string[], uri: string, answer: Answer): void {
  const fresh = workspace.fork();
  for (const one of new Set(edited)) {
    const own = fresh.text(one);
    if (own === undefined) continue;
    fresh.remove(one);
    put(fresh, one, own);
  }
  const [now, then] = [workspace, fresh].map((of) => JSON.stringify(answer(of, uri, settings)));
  if (now !== then) throw new Error(`after an edit: ${now!}\nread afresh: ${then!}`);
}

/** What the editor shows of a file without being asked for a place in it. */
const shown = (workspace: Workspace, uri: string): unknown => [
  check(workspace, uri, settings),
  hints(workspace, uri, 0, workspace.text(uri)!.length, { order: true, duration: true, heat: true }),
  lenses(workspace, uri, settings),
  outline(workspace, uri),
  preview(workspace, uri, settings),
];

/** While a file is edited, or one that it uses, the findings are always those of the same texts read afresh. */
function trySequence(seed: number, number: number): Fault | undefined {
  const random = new Random(seed ^ 0x5eed, number);
  const one = random.pick(random.chance(0.99) ? small : large);
  const uri = uriOf(one.name);
  const others = Object.keys(one.files).filter((name) => name !== one.name);
  const name = random.chance(0.7) || others.length === 0 ? one.name : random.pick(others);
  const before = name === one.name ? one.text : one.files[name]!;
  let text = before;
  try {
    // The same workspace from one sequence to the next, as in an editor: what lingers would show.
    const workspace = around(one);
    put(workspace, uri, one.text);
    const texts = [...editsOf(before, length, seed + number)].slice(0, length);
    for (text of texts) {
      if (name !== one.name && random.chance(0.05)) workspace.markAbsent(uriOf(name));
      else put(workspace, uriOf(name), text);
      const last = text === texts.at(-1);
      if (!last && !random.chance(3 / texts.length)) check(workspace, uri, settings);
      else saysTheSame(workspace, [uri, uriOf(name)], uri, last && number % 10 === 0 ? shown : check);
    }
    ask(workspace, uri, random, number % 20 === 0 ? 'all' : 'check');
    put(workspace, uriOf(name), before);
    return undefined;
  } catch (error) {
    return { kind: 'sequence', number, how: `${name} for ${one.name}`, error: say(error), text };
  }
}

const say = (error: unknown): string =>
  error instanceof Error ? (error.stack ?? error.message) : String(error);

/** Processor time of `work`, which no other program on the machine lengthens much. Unit: ms. */
function costOf(work: () => void): number {
  const before = process.cpuUsage();
  work();
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1000;
}

/** What reading and checking the largest sample costs here, once the program has warmed up. Unit: ms. */
function yardstick(): number {
  const files = samples();
  const name = 'quarter-panel-faulty.repair-plan.yaml';
  const costs = Array.from({ length: 15 }, () => {
    const workspace = workspaceOf(files, sampleUri(''));
    workspace.remove(sampleUri(name));
    return costOf(() => {
      workspace.set(sampleUri(name), files[name]!);
      check(workspace, sampleUri(name), settings);
    });
  });
  return costs.slice(5).sort((a, b) => a - b)[5]!;
}

/** Sequences are spread evenly among the documents, so that a run that is ended early has done some of both. */
function isSequence(n: number, documents: number, sequences: number): boolean {
  const before = (upTo: number): number => Math.floor((upTo * sequences) / (documents + sequences));
  return before(n + 1) > before(n);
}

function work({ seed, documents, sequences, first, at }: Job): void {
  const measure = yardstick();
  for (let n = first; n < documents + sequences; n++) {
    Atomics.store(at, 0, n);
    const sequence = isSequence(n, documents, sequences);
    let fault: Fault | undefined;
    const cost = costOf(() => {
      fault = sequence ? trySequence(seed, n) : tryDocument(seed, n);
    });
    if (cost > Atomics.load(at, 1))
      [Math.round(cost), n].forEach((value, i) => Atomics.store(at, i + 1, value));
    if (fault) parentPort!.postMessage(fault);
    const limit = dear.times[effortOf(n)] * measure;
    if (sequence || cost < limit) continue;
    const { how, text } = drawn(new Random(seed, n));
    const error = `${Math.round(cost)} ms where ${Math.round(limit)} ms are allowed`;
    if (text.length <= dear.size) parentPort!.postMessage({ kind: 'slow', number: n, how, error, text });
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
      resourceLimits: { maxOldGenerationSizeMb: heap, maxYoungGenerationSizeMb: 64 },
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
  // For whoever reads along: which was the dearest text, and what it cost.
  console.error(JSON.stringify({ dearest: { ms: Atomics.load(at, 1), number: Atomics.load(at, 2) } }));
  const megabytes = Math.round(process.resourceUsage().maxRSS / 1024);
  return { seed, documents, sequences, edits: sequences * length, faults, megabytes };
}

if (isMainThread) {
  const [seed, documents, sequences] = process.argv.slice(2).map(Number) as [number, number, number];
  console.log(JSON.stringify(await watch(seed, documents, sequences)));
} else {
  work(workerData as Job);
}
