import { randomBytes } from 'node:crypto';
import { open, rm } from 'node:fs/promises';
import type { FileHandle } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

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

  /** @throws an error that `reasonOf` puts into words. */
  static async open(): Promise<Spool> {
    const path = join(tmpdir(), `plugward-${randomBytes(8).toString('hex')}.tmp`);
    const file = await open(path, 'wx+', 0o600);
    // Where the system allows it the file has no name any more, and so goes with the process whatever ends it.
    await rm(path, { force: true }).catch(() => undefined);
    return new Spool(file, path);
  }

  async put(text: string): Promise<SpoolRange> {
    const bytes = Buffer.from(text, 'utf8');
    const at = this.#end;
    this.#end += bytes.length;
    for (let done = 0; done < bytes.length;) {
      done += (await this.file.write(bytes, done, bytes.length - done, at + done)).bytesWritten;
    }
    return { at, length: bytes.length };
  }

  async get({ at, length }: SpoolRange): Promise<string> {
    const bytes = Buffer.alloc(length);
    for (let done = 0; done < length;) {
      const { bytesRead } = await this.file.read(bytes, done, length - done, at + done);
      if (bytesRead === 0) throw new Error('the temporary file has lost its end');
      done += bytesRead;
    }
    return bytes.toString('utf8');
  }

  async close(): Promise<void> {
    await this.file.close();
    await rm(this.path, { force: true }).catch(() => undefined);
  }
}
