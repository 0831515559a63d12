import { decoded } from './bytes.ts';

/** What stands in a message, while it is written, for a value whose JSON is there already. */
const placeholder = '\u0000plugward: encoded';

/** The bytes for which placeholders were written, in their order, while a message is. */
let written: Uint8Array[] | undefined;

/** A value as JSON in UTF-8. `encodeMessage` copies the bytes; any other serializer gets the value. */
class EncodedJson {
  readonly #bytes: Uint8Array;

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes;
  }

  toJSON(): unknown {
    if (!written) return JSON.parse(decoded(this.#bytes));
    written.push(this.#bytes);
    return placeholder;
  }
}

/**
 * A value that is only going to be sent, and is neither parsed nor serialized for it. Whoever reads its members sees none.
 * @param bytes its JSON in UTF-8
 */
export const encodedJson = <T>(bytes: Uint8Array): T => new EncodedJson(bytes) as T;

/** A message of JSON-RPC in UTF-8. */
export function encodeMessage(message: unknown): Uint8Array {
  const encoded: Uint8Array[] = (written = []);
  let text: string;
  try {
    text = JSON.stringify(message);
  } finally {
    written = undefined;
  }
  if (encoded.length === 0) return Buffer.from(text);
  const between = text.split(JSON.stringify(placeholder));
  // Some text of a plan reads like the placeholder.
  if (between.length !== encoded.length + 1) return Buffer.from(JSON.stringify(message));
  return Buffer.concat(
    between.flatMap((part, i) => (i === 0 ? [Buffer.from(part)] : [encoded[i - 1]!, Buffer.from(part)])),
  );
}
