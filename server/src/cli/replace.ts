import { randomBytes } from 'node:crypto';
import type { Stats } from 'node:fs';
import { rmSync } from 'node:fs';
import { open, rename } from 'node:fs/promises';
import type { FileHandle } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { patiently } from '../disk/patience.ts';

/**
 * Replaces a file in one step, so that nobody ever sees half of it: written beside it, then renamed over it. Keeps its
 * permissions, and its owner and group where the system allows it.
 * @param before what stands there; undefined where nothing does
 * @param look is called in the last moment, and throws when the file must not be replaced after all
 * @param ownerLost is told that owner and group could not be kept, and may throw
 * @throws a system error; the file is then as it was.
 */
export async function replaceWhole(
  target: string,
  pieces: Iterable<string | Uint8Array> | AsyncIterable<string | Uint8Array>,
  before: Stats | undefined,
  look: () => Promise<void>,
  ownerLost: (error: unknown) => void = () => undefined,
): Promise<void> {
  const beside = join(
    dirname(target),
    `.${basename(target).slice(0, 200)}.${randomBytes(6).toString('hex')}.tmp`,
  );
  const handle = await open(beside, 'wx', before && before.mode & 0o7777);
  const remove = (): void => rmSync(beside, { force: true });
  process.once('exit', remove);
  try {
    try {
      for await (const portion of portions(pieces)) await handle.writeFile(portion);
      if (before) await liken(handle, before, ownerLost);
      await handle.sync();
    } finally {
      await handle.close();
    }
    await look();
    await patiently(() => rename(beside, target));
  } finally {
    process.removeListener('exit', remove);
    remove();
  }
}

/** A print comes in thousands of pieces; each write of its own would be a call to the system. */
async function* portions(
  pieces: Iterable<string | Uint8Array> | AsyncIterable<string | Uint8Array>,
): AsyncGenerator<Buffer> {
  let held: Buffer[] = [];
  let size = 0;
  for await (const piece of pieces) {
    const bytes = Buffer.from(piece);
    held.push(bytes);
    size += bytes.length;
    if (size < 1 << 16) continue;
    yield Buffer.concat(held);
    held = [];
    size = 0;
  }
  if (size > 0) yield Buffer.concat(held);
}

/** Owner and group first: a change of them takes away the bits that lend them. */
async function liken(
  handle: FileHandle,
  { uid, gid, mode }: Stats,
  ownerLost: (error: unknown) => void,
): Promise<void> {
  const fresh = await handle.stat();
  if (fresh.uid !== uid || fresh.gid !== gid) await handle.chown(uid, gid).catch(ownerLost);
  // The mode given to `open` is masked by the umask.
  await handle.chmod(mode & 0o7777);
}
