import ignore from 'ignore';
import type { Ignore } from 'ignore';
import { readDocument } from '../document/document.ts';
import { kindByName } from '../document/kind.ts';
import type { Located } from '../document/node.ts';

/** What an adapter looks up for the exclusion. Paths are absolute; nothing throws. */
export interface FolderReader {
  isThere(path: string): Promise<boolean>;
  names(folder: string): Promise<readonly string[]>;
  text(path: string): Promise<string | undefined>;
}

/** Patterns of one folder, in the syntax of `.gitignore`. */
interface Rules {
  readonly folder: string;
  readonly patterns: Ignore;
}

/**
 * What is left out while folders are looked through: what a repository's `.gitignore` and `.git/info/exclude` name, and what
 * a rate sheet names under `plugward: exclude:`, for the folder it lies in and all below. A file that is named, opened or
 * used by another is never left out: nobody asks here for one.
 */
export interface Exclusion {
  /** The exclusion inside of a folder that is one level deeper. */
  entering(folder: string, names: readonly string[]): Promise<Exclusion>;
  leavesOut(path: string, isFolder: boolean): boolean;
}

/** The exclusion inside of a folder that was asked for, by what lies in it and in the folders of its repository above. */
export async function exclusionIn(folder: string, reader: FolderReader): Promise<Exclusion> {
  const asked = plain(folder);
  const above: string[] = [];
  for (let one: string | undefined = asked; one !== undefined; one = parentOf(one)) {
    above.unshift(one);
    if (await reader.isThere(`${one}/.git`)) break;
    // Outside of a repository nothing above the folder has a say.
    if (parentOf(one) === undefined) above.splice(0, above.length, asked);
  }
  let exclusion: Exclusion = new FolderExclusion(reader, [], [], false);
  for (const one of above) {
    // Whoever asks for a folder that is left out wants what lies in it.
    if (exclusion.leavesOut(one, true)) exclusion = new FolderExclusion(reader, [], [], true);
    exclusion = await exclusion.entering(one, await reader.names(one));
  }
  return exclusion;
}

class FolderExclusion implements Exclusion {
  readonly #reader: FolderReader;
  readonly #git: readonly Rules[];
  readonly #sheets: readonly Rules[];
  readonly #inRepository: boolean;

  constructor(reader: FolderReader, git: readonly Rules[], sheets: readonly Rules[], inRepository: boolean) {
    this.#reader = reader;
    this.#git = git;
    this.#sheets = sheets;
    this.#inRepository = inRepository;
  }

  async entering(given: string, names: readonly string[]): Promise<Exclusion> {
    const folder = plain(given);
    const read = async (name: string): Promise<string> =>
      (await this.#reader.text(`${folder}/${name}`)) ?? '';
    // A repository inside of another one has rules of its own.
    const isRoot = names.includes('.git');
    const inRepository = isRoot || this.#inRepository;
    const git = isRoot ? [] : [...this.#git];
    const put = (rules: Rules[], patterns: string | readonly string[]): void => {
      if (patterns.length > 0) rules.push({ folder, patterns: ignore({ ignorecase: false }).add(patterns) });
    };
    if (isRoot) put(git, await read('.git/info/exclude'));
    if (inRepository && names.includes('.gitignore')) put(git, await read('.gitignore'));
    const sheets = [...this.#sheets];
    for (const name of names) {
      if (kindByName(name) === 'rate-sheet') put(sheets, excluded(name, await read(name)));
    }
    return new FolderExclusion(this.#reader, git, sheets, inRepository);
  }

  leavesOut(path: string, isFolder: boolean): boolean {
    const name = `${plain(path)}${isFolder ? '/' : ''}`;
    return [this.#git, this.#sheets].some((rules) => ignoredBy(rules, name));
  }
}

/** The deepest folder that says anything decides, as in git. */
function ignoredBy(rules: readonly Rules[], path: string): boolean {
  for (let at = rules.length - 1; at >= 0; at--) {
    const { folder, patterns } = rules[at]!;
    const { ignored, unignored } = patterns.test(path.slice(folder.length + 1));
    if (ignored || unignored) return ignored;
  }
  return false;
}

type Root = Located<{ plugward?: { exclude?: string[] } }>;

/** The patterns of a rate sheet. */
function excluded(name: string, text: string): string[] {
  if (!text.includes('exclude')) return [];
  const { root } = readDocument(`file:///${encodeURIComponent(name)}`, 'rate-sheet', text);
  const list = (root as Root | undefined)?.get('plugward')?.get('exclude');
  return (list?.items ?? []).flatMap((node) =>
    node.kind === 'scalar' && !node.rejectedBySchema && typeof node.value === 'string' ? [node.value] : [],
  );
}

const plain = (path: string): string => path.replaceAll('\\', '/').replace(/(.)\/$/, '$1');

function parentOf(path: string): string | undefined {
  const end = path.lastIndexOf('/');
  return end <= 0 ? undefined : path.slice(0, end);
}
