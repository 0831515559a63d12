/**
 * The catalogue key of an English template: its 32-bit FNV-1a hash, since the program already contains the
 * text. The catalogue generator rejects two templates with the same key.
 */
export function templateKey(english: string): string {
  let hash = 0x811c9dc5;
  for (let i = 0; i < english.length; i++) {
    hash = Math.imul(hash ^ english.charCodeAt(i), 0x01000193);
  }
  return (hash >>> 0).toString(36);
}
