import type { Dirent } from 'node:fs';
import { lstat, readdir, stat } from 'node:fs/promises';
import { join } from 'node:path';

/** What stands in a folder. */
interface Entry {
  readonly name: string;
  readonly kind: 'file' | 'folder' | 'link' | 'other';
}

/**
 * The entries of a folder. A listing calls some things links, or nothing at all, that are none: files and folders of a
 * synchronised folder that lie elsewhere until they are opened, and all entries of some network drives. Those are looked at
 * by themselves. A link proper, and what Windows calls a junction, remains a link, so that no way leads in a circle.
 * @throws the error of the system
 */
export async function entriesOf(folder: string): Promise<Entry[]> {
  const entries = await readdir(folder, { withFileTypes: true });
  return Promise.all(
    entries.map(async (entry) => {
      const sure = entry.isFile() || entry.isDirectory();
      const about = sure ? entry : await lstat(join(folder, entry.name)).catch(() => entry);
      return { name: entry.name, kind: kindOf(about) };
    }),
  );
}

/**
 * Folders that were entered, by what the disk knows them by. Mounted folders and some network drives lead in a circle without
 * a link on the way: a folder is entered once.
 */
export class EnteredFolders {
  readonly #entered = new Set<string>();

  /** @returns false for a folder that was entered before, under whatever path */
  async enter(folder: string): Promise<boolean> {
    const identity = await identityOf(folder);
    if (this.#entered.has(identity)) return false;
    this.#entered.add(identity);
    return true;
  }
}

async function identityOf(folder: string): Promise<string> {
  const about = await stat(folder, { bigint: true }).catch(() => undefined);
  // Some network drives number nothing; then the path must do.
  return about && about.ino !== 0n ? `${String(about.dev)}:${String(about.ino)}` : folder;
}

function kindOf(about: Pick<Dirent, 'isFile' | 'isDirectory' | 'isSymbolicLink'>): Entry['kind'] {
  if (about.isFile()) return 'file';
  if (about.isDirectory()) return 'folder';
  return about.isSymbolicLink() ? 'link' : 'other';
}
