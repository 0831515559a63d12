const lineBreak = 10;

/** The two parts of bytes that stand before and after their first line break. */
export function atLineBreak(bytes: Uint8Array): [before: Uint8Array, after: Uint8Array] {
  const end = bytes.indexOf(lineBreak);
  return [bytes.subarray(0, end), bytes.subarray(end + 1)];
}

const decoder = new TextDecoder();
/** A text from its bytes in UTF-8. */
export const decoded = (bytes: Uint8Array): string => decoder.decode(bytes);
