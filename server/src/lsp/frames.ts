/** Size limits, far above anything an editor sends. Unit: bytes. */
const max = { header: 4096, body: 64 * 1024 * 1024 } as const;

/**
 * Follows the frames of the base protocol in a stream of bytes, without taking anything out of it. After a
 * header without a length, the start of the next message is unknown and the stream is unusable.
 * Source: Language Server Protocol 3.17, "Base Protocol".
 */
export class Frames {
  #header = '';
  /** Bytes of the current body that are still to come. */
  #rest = 0;

  /** @returns what is wrong with the stream, once something is */
  follow(bytes: Buffer): string | undefined {
    for (let at = 0; at < bytes.length;) {
      if (this.#rest > 0) {
        const taken = Math.min(this.#rest, bytes.length - at);
        this.#rest -= taken;
        at += taken;
        continue;
      }
      const before = this.#header.length;
      this.#header += bytes.toString('latin1', at, at + max.header);
      const end = this.#header.indexOf('\r\n\r\n');
      if (end < 0) {
        if (this.#header.length >= max.header) return 'a header without an end';
        return undefined;
      }
      at += end + 4 - before;
      const length = /^content-length:[ \t]*(\d+)[ \t]*$/im.exec(this.#header.slice(0, end));
      if (!length) return 'a header without a length';
      this.#rest = Number(length[1]);
      if (this.#rest > max.body) return `a message of ${this.#rest} bytes`;
      this.#header = '';
    }
    return undefined;
  }
}
