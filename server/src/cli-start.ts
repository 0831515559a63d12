// Starts the command line from the code that V8 has compiled of it in an earlier run: that saves a quarter of the time which
// checking one small plan takes. The code lies beside the program. Whoever can write there can change the program itself, so
// nothing has to be trusted that was not before; where this user cannot, as in an installation of root's, it is done without.
import {
  closeSync,
  fstatSync,
  fsyncSync,
  openSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import type { BigIntStats } from 'node:fs';
import path from 'node:path';
import { effort } from './cli/effort.ts';
import { readModule, readWhole, runCompiled } from './disk/compiled-script.ts';

const file = path.join(__dirname, 'plugward.js');
/** Each Node version has code of its own. */
const compiled = `${file}.${process.version}-${process.arch}`;
const program = statSync(file, { bigint: true });
/** Changes with every change of the program: V8 tells code from its source by the length alone. */
const stamp = Buffer.from(
  [program.ino, program.size, program.mtimeNs, program.ctimeNs].join(' ').padStart(80),
);

/** What lies in the code's place, if it is of the program's owner or of this user. */
function aboutCode(): BigIntStats | undefined {
  try {
    const about = statSync(compiled, { bigint: true, throwIfNoEntry: false });
    const user = process.getuid?.();
    return about?.isFile() && [program.uid, BigInt(user ?? about.uid)].includes(about.uid)
      ? about
      : undefined;
  } catch {
    return undefined;
  }
}

/**
 * The code, if it was made of this program, as the stamp behind it says.
 * @param memory what it is read into, if it is no longer than that
 */
function readCode(memory: Buffer): Buffer | undefined {
  let handle: number | undefined;
  try {
    handle = openSync(compiled, 'r');
    const { size } = fstatSync(handle);
    const end = size - stamp.length;
    if (end <= 0 || size > memory.length) return undefined;
    const kept = memory.subarray(0, size);
    readWhole(handle, kept);
    return kept.subarray(end).equals(stamp) ? kept.subarray(0, end) : undefined;
  } catch {
    return undefined;
  } finally {
    if (handle !== undefined) closeSync(handle);
  }
}

/** Never torn: it gets its name when all is on the disk. */
function keepCode(code: Buffer): void {
  const beside = `${compiled}.${process.pid}.tmp`;
  try {
    const handle = openSync(beside, 'wx', 0o644);
    try {
      writeFileSync(handle, Buffer.concat([code, stamp]));
      fsyncSync(handle);
    } finally {
      closeSync(handle);
    }
    renameSync(beside, compiled);
  } catch {
    // A folder that this user cannot write to, or a full disk.
    try {
      rmSync(beside, { force: true });
    } catch {
      // The next run does without as well.
    }
  }
}

const about = aboutCode();
const text = readModule(file, Number(about?.size ?? 0));
const script = runCompiled(text, about && readCode(text.memory));
// Only now, since V8 takes code under the flags that it was made with; a thread shares those of its process.
if (script.wasKept && process.argv[2] === 'check') effort.startQuickly();
// At the end, since V8 compiles functions when they are first called; of the command that is run most, and calls most of them.
if (!script.wasKept && process.argv[2] === 'check' && !process.argv.includes('--no-cache'))
  process.on('exit', () => {
    effort.restore();
    keepCode(script.code());
  });
