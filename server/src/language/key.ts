/**
 * A short key of an English template in a catalogue, FNV-1a of 32 bits: the template itself stands in the program
 * already. The generator of the catalogues refuses two templates of one key.
 */
export function templateKey(english: string): string {
  let hash = 0x811c9dc5;
  for (let i = 0; i < english.length; i++) {
    hash = Math.imul(hash ^ english.charCodeAt(i), 0x01000193);
  }
  return (hash >>> 0).toString(36);
}
