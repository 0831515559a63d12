import { isInside } from './inside.ts';
import type { Connection } from 'vscode-languageserver';
import { URI, Utils } from 'vscode-uri';
import type { FileSource } from './host.ts';

/**
 * Files that only the client can reach (a folder of a repository host, a browser's), read through the client.
 */
export function clientFiles(connection: Connection): FileSource {
  const inside = (file: string, roots: readonly string[]): boolean =>
    roots.some((root) => isInside(file, plain(root)));
  return {
    async read(uri, roots) {
      const file = plain(uri);
      if (!inside(file, roots)) return undefined;
      const answer = await connection.sendRequest<{ text: string | null }>('plugward/readFile', {
        uri: file,
      });
      return answer.text === null ? undefined : { text: answer.text, stamp: undefined };
    },
    async photo(uri, roots, max) {
      const file = plain(uri);
      if (!inside(file, roots)) return undefined;
      const { base64, size } = await connection.sendRequest<{ base64: string | null; size: number | null }>(
        'plugward/readPhoto',
        { uri: file, max },
      );
      if (base64 === null) return size !== null && size > max ? 'large' : undefined;
      return Uint8Array.from(atob(base64), (sign) => sign.charCodeAt(0));
    },
    async whichExist(uris, roots) {
      const files = uris.map(plain);
      const looked = files.filter((file) => inside(file, roots));
      if (looked.length === 0) return files.map(() => false);
      const { there } = await connection.sendRequest<{ there: (boolean | null)[] }>('plugward/areThere', {
        uris: looked,
      });
      const known = new Map(looked.map((file, i) => [file, there[i] ?? undefined]));
      return files.map((file) => (known.has(file) ? known.get(file) : false));
    },
    stamp: () => Promise.resolve(undefined),
    // A host of repositories tells capitals apart, and lists names as they are.
    spelling: () => Promise.resolve(undefined),
    async list(roots, max) {
      if (roots.length === 0) return [];
      const { uris } = await connection.sendRequest<{ uris: string[] }>('plugward/findFiles', { max });
      return uris;
    },
  };
}

/** Without `..` and in one way of percent-encoding. */
function plain(uri: string): string {
  return Utils.joinPath(URI.parse(uri)).toString();
}
