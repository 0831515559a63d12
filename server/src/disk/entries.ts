import { createHash, randomBytes } from 'node:crypto';
import { closeSync, constants, fstatSync, futimesSync, mkdirSync, openSync, readSync, rmSync } from 'node:fs';
import { readdirSync, renameSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

/** A digest that nobody can find a second text for, in hexadecimal. Of several parts it is that of the whole. */
export function digest(...parts: readonly (string | Uint8Array)[]): string {
  const hash = createHash('sha256');
  for (const part of parts) hash.update(part);
  return hash.digest('hex');
}

/**
 * Says which program, on which engine, made what is kept: any change of the program, and any other engine with its own tables of
 * languages and characters, makes all anew.
 * @param files what the files hold that are the whole program
 */
export const programDigest = (files: readonly Uint8Array[]): string =>
  digest(
    JSON.stringify([files.map((bytes) => digest(bytes)), process.versions, process.platform, process.arch]),
  );

/** Length of a digest, and of the line end after it. */
const headLength = 65;
/** An entry of more bytes is neither written nor read. */
const maxOfOne = 4_000_000;
/** What all entries may come to; beyond it those go first that were not used for longest. Unit: bytes. */
const maxOfAll = 256_000_000;
const day = 86_400_000;
/** An entry that nobody has used for so long is dropped. */
const longestUnused = 60 * day;
/** How often the folder is looked through for what is to be dropped, unless much was written. */
const sweptEvery = day / 24;
const muchWritten = maxOfAll / 16;

/**
 * Bytes under keys, each in a file of its own. It is a cache: what cannot be read, is torn or was written for another key is
 * not there, and what cannot be written is not kept. Nothing here throws. Synchronous, as reading documents is.
 */
export class Entries {
  readonly #shards = new Set<string>();
  #written = 0;
  /** After a write that failed, as on a full disk, nothing more is written. */
  #isFull = false;

  /** @param folder one that is trusted */
  constructor(readonly folder: string) {}

  /** @param key a digest */
  get(key: string): Buffer | undefined {
    let file: number | undefined;
    try {
      file = openSync(this.#place(key), constants.O_RDONLY | (constants.O_NOFOLLOW ?? 0));
      const about = fstatSync(file);
      if (!about.isFile() || about.size > maxOfOne || about.uid !== (process.getuid?.() ?? about.uid))
        return undefined;
      const bytes = Buffer.allocUnsafe(about.size);
      if (readSync(file, bytes, 0, about.size, 0) !== about.size) return undefined;
      const body = bytes.subarray(headLength);
      if (bytes.toString('latin1', 0, headLength) !== sealOf(key, body)) return undefined;
      const now = Date.now();
      // The time of the last use, to the day.
      if (now - about.mtimeMs > day) this.#touch(file, now);
      return body;
    } catch {
      return undefined;
    } finally {
      if (file !== undefined) closeSync(file);
    }
  }

  put(key: string, content: string | Uint8Array): void {
    const body = Buffer.from(content as Uint8Array);
    if (this.#isFull || body.length + headLength > maxOfOne) return;
    const place = this.#place(key);
    const beside = `${place}.${randomBytes(6).toString('hex')}.tmp`;
    try {
      const shard = key.slice(0, 2);
      if (!this.#shards.has(shard)) mkdirSync(join(this.folder, shard), { recursive: true, mode: 0o700 });
      this.#shards.add(shard);
      writeFileSync(beside, Buffer.concat([Buffer.from(sealOf(key, body)), body]), {
        flag: 'wx',
        mode: 0o600,
      });
      renameSync(beside, place);
      this.#written += body.length;
    } catch {
      this.#isFull = true;
      remove(beside);
    }
  }

  /** After a run that has written: drops what was not used for long, and what is too much. */
  sweep(now = Date.now(), max = maxOfAll): void {
    const stamp = join(this.folder, 'swept');
    try {
      const last = statSync(stamp, { throwIfNoEntry: false })?.mtimeMs ?? 0;
      if (Math.abs(now - last) < sweptEvery && this.#written < Math.min(max, muchWritten)) return;
      this.#written = 0;
      writeFileSync(stamp, '', { mode: 0o600 });
      drop(files(this.folder), now, max);
    } catch {
      // It will be swept another time.
    }
  }

  #place(key: string): string {
    return join(this.folder, key.slice(0, 2), key.slice(2));
  }

  #touch(file: number, now: number): void {
    try {
      futimesSync(file, now / 1000, now / 1000);
    } catch {
      // It only seems unused.
    }
  }
}

/** What stands before the body of an entry. */
const sealOf = (key: string, body: Uint8Array): string => `${digest(`${key}\n`, body)}\n`;

interface Kept {
  readonly path: string;
  readonly size: number;
  readonly used: number;
}

/** All files of the shards, those that a crash has left half written included. */
function* files(folder: string): Generator<Kept> {
  for (const shard of readdirSync(folder)) {
    if (!/^[0-9a-f]{2}$/.test(shard)) continue;
    for (const name of readdirSync(join(folder, shard))) {
      const path = join(folder, shard, name);
      const about = statSync(path, { throwIfNoEntry: false });
      if (about) yield { path, size: about.size, used: about.mtimeMs };
    }
  }
}

function drop(all: Iterable<Kept>, now: number, max: number): void {
  const kept: Kept[] = [];
  let sum = 0;
  for (const one of all) {
    const longest = one.path.endsWith('.tmp') ? day / 24 : longestUnused;
    if (now - one.used > longest) remove(one.path);
    else {
      kept.push(one);
      sum += one.size;
    }
  }
  if (sum <= max) return;
  // A part more than is needed, so that the next run does not begin again.
  for (const { path, size } of kept.sort((a, b) => a.used - b.used)) {
    if (sum <= max * 0.75) return;
    remove(path);
    sum -= size;
  }
}

function remove(path: string): void {
  try {
    rmSync(path, { force: true });
  } catch {
    // It is swept another time.
  }
}
