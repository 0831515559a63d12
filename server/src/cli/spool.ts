import { randomBytes } from 'node:crypto';
import { open, rm } from 'node:fs/promises';
import type { FileHandle } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { say } from '../language/phrase.ts';
import { printable } from '../report/listing/printable.ts';
import { FileError, isOutside, reasonOf } from './reasons.ts';

/** Where a text lies in a spool. Unit: bytes. */
export interface SpoolRange {
  readonly at: number;
  readonly length: number;
}

/** Texts that are put away on disk until their turn comes, so that a long run needs no memory for them. */
export class Spool {
  #end = 0;

  private constructor(
    private readonly file: FileHandle,
    private readonly path: string,
  ) {}

  /** @throws FileError */
  static open(): Promise<Spool> {
    return saying(() => Spool.#open());
  }

  static async #open(): Promise<Spool> {
    const path = join(tmpdir(), `plugward-${randomBytes(8).toString('hex')}.tmp`);
    const file = await open(path, 'wx+', 0o600);
    // Where the system allows it the file has no name any more, and so goes with the process whatever ends it.
    await rm(path, { force: true }).catch(() => undefined);
    return new Spool(file, path);
  }

  /** @throws FileError */
  put(text: string): Promise<SpoolRange> {
    return saying(() => this.#put(text));
  }

  async #put(text: string): Promise<SpoolRange> {
    const bytes = Buffer.from(text, 'utf8');
    const at = this.#end;
    this.#end += bytes.length;
    for (let done = 0; done < bytes.length;) {
      done += (await this.file.write(bytes, done, bytes.length - done, at + done)).bytesWritten;
    }
    return { at, length: bytes.length };
  }

  /** @throws FileError */
  get(place: SpoolRange): Promise<string> {
    return saying(() => this.#get(place));
  }

  async #get({ at, length }: SpoolRange): Promise<string> {
    const bytes = Buffer.alloc(length);
    for (let done = 0; done < length;) {
      const { bytesRead } = await this.file.read(bytes, done, length - done, at + done);
      if (bytesRead === 0) throw new FileError(say`it has lost its end`);
      done += bytesRead;
    }
    return bytes.toString('utf8');
  }

  async close(): Promise<void> {
    await this.file.close().catch(() => undefined);
    await rm(this.path, { force: true }).catch(() => undefined);
  }
}

/** A fault of the folder for temporary files is told as one. */
async function saying<T>(act: () => Promise<T>): Promise<T> {
  try {
    return await act();
  } catch (error) {
    if (!isOutside(error)) throw error;
    throw new FileError(say`a temporary file in ${printable(tmpdir())} failed: ${reasonOf(error)}`);
  }
}
