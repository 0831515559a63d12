/**
 * JSON that is safe to show in a terminal: what steers one, or turns the direction of reading, stands as an escape. JSON
 * leaves all but the first 32 of these characters as they are; whoever reads the text gets the same value.
 */
export const jsonText = (value: unknown, space = 2): string =>
  JSON.stringify(value, null, space).replaceAll(
    /[\u007f-\u009f\u061c\u200b\u200e\u200f\u2028-\u202e\u2060-\u2069\ufeff]/g,
    (unsafe) => `\\u${unsafe.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );
