import path from 'node:path';
import { URI } from 'vscode-uri';
import { trustedCacheFolder } from '../disk/cache-folder.ts';
import { digest, Entries } from '../disk/entries.ts';
import type { Cache } from './host.ts';

/**
 * A cache in a folder of this disk, if what lies there can be believed.
 * @param folder a `file:` URI
 * @param looked URIs of the folders that are looked at
 * @param program says which program it is, as `programDigest` does: any other makes all anew
 */
export function nodeCache(
  folder: string,
  looked: readonly string[],
  program: () => string,
): Cache | undefined {
  try {
    const { scheme, fsPath } = URI.parse(folder);
    if (scheme !== 'file' || !path.isAbsolute(fsPath)) return undefined;
    const roots = looked.filter((root) => root.startsWith('file:')).map((root) => URI.parse(root).fsPath);
    const trusted = trustedCacheFolder(path.join(fsPath, 'closed-plans'), roots);
    if (trusted === undefined) return undefined;
    const made = program();
    const entries = new Entries(trusted);
    const own = (key: string): string => digest(`${made} ${key}`);
    return {
      digest,
      get: (key) => entries.get(own(key)),
      put: (key, content) => entries.put(own(key), content),
      sweep: () => entries.sweep(),
    };
  } catch {
    return undefined;
  }
}
