import type { Connection } from 'vscode-languageserver';
import { URI, Utils } from 'vscode-uri';
import type { FileSource } from './host.ts';

/** Files that only the client can reach (a folder of a repository host, a browser's): it is asked for them. */
export function clientFiles(connection: Connection): FileSource {
  return {
    async read(uri, roots) {
      const file = plain(uri);
      if (!roots.some((root) => file.startsWith(plain(root).replace(/\/?$/, '/')))) return undefined;
      const answer = await connection.sendRequest<{ text: string | null }>('plugward/readFile', {
        uri: file,
      });
      return answer.text ?? undefined;
    },
    async list(roots, most) {
      if (roots.length === 0) return [];
      const { uris } = await connection.sendRequest<{ uris: string[] }>('plugward/findFiles', { most });
      return uris;
    },
  };
}

/** Without `..` and in one way of percent-encoding. */
function plain(uri: string): string {
  return Utils.joinPath(URI.parse(uri)).toString();
}
