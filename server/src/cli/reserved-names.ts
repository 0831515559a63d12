import { win32 } from 'node:path';

/** The device that takes everything and keeps nothing. */
export const nowhere = 'NUL';

/**
 * The device that a path names on Windows, in whatever folder and with whatever extension, in capitals: a file of such a
 * name cannot be made there. Undefined for any other path, and on other systems.
 *
 * Source: Microsoft, "Naming Files, Paths, and Namespaces", reserved names (from memory).
 */
export function deviceIn(path: string, platform: NodeJS.Platform = process.platform): string | undefined {
  if (platform !== 'win32') return undefined;
  const name = /^[^.:]*/.exec(win32.basename(path))![0].trimEnd().toUpperCase();
  return /^(?:CON|PRN|AUX|NUL|(?:COM|LPT)[1-9¹²³])$/.test(name) ? name : undefined;
}
