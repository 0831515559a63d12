import { execFile } from 'node:child_process';
import { basename, dirname, join, relative, sep } from 'node:path';
import { URI } from 'vscode-uri';
import { truePath } from '../disk/true-path.ts';
import { say } from '../language/phrase.ts';
import { printable } from '../report/listing/printable.ts';
import { UsageError } from './arguments.ts';
import { decode, maxBytes } from './files.ts';
import { FileError } from './reasons.ts';
import { sameButSpelling } from '../workspace/spelling.ts';
import type { TextSource } from './gather.ts';

/** What git said, or why it said nothing. */
type Said = { readonly bytes: Buffer } | { readonly failed: string; readonly tooLarge: boolean };

/** Lists of names are longer than plans. Unit: bytes. */
const longestList = 256e6;

/**
 * Runs git with a list of arguments; no shell sees them. It takes no locks, fetches nothing, and starts no helper that a
 * repository names, as long as `filtersOff` is among the arguments of what looks at the files themselves.
 * @throws UsageError where there is no git
 */
function git(cwd: string, args: readonly string[], max = longestList): Promise<Said> {
  // Else Windows looks for git in the folder first, which may hold anything. (Microsoft, NeedCurrentDirectoryForExePath; from memory.)
  process.env['NoDefaultCurrentDirectoryInExePath'] = '1';
  const env = {
    ...process.env,
    LC_ALL: 'C',
    GIT_OPTIONAL_LOCKS: '0',
    GIT_NO_LAZY_FETCH: '1',
    GIT_TERMINAL_PROMPT: '0',
  };
  const all = ['--no-pager', '-c', 'core.fsmonitor=false', '-c', 'core.quotePath=false', ...args];
  return new Promise((resolve, reject) => {
    execFile('git', all, { cwd, env, encoding: 'buffer', maxBuffer: max }, (error, stdout, stderr) => {
      if (!error) resolve({ bytes: stdout });
      else if (error.code === 'ENOENT')
        reject(
          new UsageError(say`git was not found. Install it, or name two files: plugward compare OLD NEW.`),
        );
      else {
        const [line = ''] = stderr.toString().split('\n');
        const tooLarge = (error.code as unknown) === 'ERR_CHILD_PROCESS_STDIO_MAXBUFFER';
        resolve({ failed: printable(line.replace(/^fatal: /, '')), tooLarge });
      }
    });
  });
}

/**
 * Arguments that switch off every filter of the configuration: comparing files runs them, and the configuration may come
 * with the folder.
 * @throws UsageError where one could not be switched off
 */
async function filtersOff(root: string): Promise<readonly string[]> {
  const said = await git(root, ['config', '-z', '--name-only', '--get-regexp', '^filter\\.']);
  // Without a filter git says nothing, and that it failed.
  if ('failed' in said) return [];
  const filters = new Set(names(said.bytes).map((key) => key.slice(0, key.lastIndexOf('.'))));
  return [...filters].flatMap((filter) => {
    // The first equals sign ends the name of what is set.
    if (filter.includes('='))
      throw new UsageError(say`git refuses this repository: ${say`it names a filter ${printable(filter)}`}.`);
    return [`${filter}.clean=`, `${filter}.process=`, `${filter}.required=false`].flatMap((set) => [
      '-c',
      set,
    ]);
  });
}

/** What a repository held at one commit. */
export class Revision {
  private constructor(
    /** As the person wrote it. */
    readonly name: string,
    readonly commit: string,
    /** Where the repository lies in truth. */
    readonly root: string,
    /** Paths from its root, with forward slashes. */
    readonly files: ReadonlySet<string>,
  ) {}

  /** @throws UsageError where there is no git, no repository or no such revision */
  static async open(name: string, cwd: string): Promise<Revision> {
    const top = await git(cwd, ['rev-parse', '--show-toplevel']);
    if ('failed' in top) {
      throw new UsageError(
        /not a git repository/i.test(top.failed)
          ? say`--since needs a git repository, and this folder is in none.`
          : say`git refuses this repository: ${top.failed}.`,
      );
    }
    const root = await truePath(text(top.bytes).trimEnd());
    const commit = await git(cwd, [
      'rev-parse',
      '--verify',
      '--quiet',
      '--end-of-options',
      `${name}^{commit}`,
    ]);
    if ('failed' in commit) {
      const shallow = await git(cwd, ['rev-parse', '--is-shallow-repository']);
      const isShallow = 'bytes' in shallow && text(shallow.bytes).trim() === 'true';
      throw new UsageError(
        isShallow
          ? say`There is no revision '${printable(name)}' here: this clone holds only the latest history. Fetch the rest with \`git fetch --unshallow\`.`
          : say`There is no revision '${printable(name)}' in this repository. \`git log --oneline\` lists the commits.`,
      );
    }
    const hash = text(commit.bytes).trim();
    const listed = await git(root, ['ls-tree', '-r', '-z', '--name-only', '--full-tree', hash]);
    if ('failed' in listed)
      throw new UsageError(say`git cannot list '${printable(name)}': ${listed.failed}.`);
    return new Revision(name, hash, root, new Set(names(listed.bytes)));
  }

  /** The path of a file from the root of the repository; undefined for one outside of it. */
  async pathOf(path: string): Promise<string | undefined> {
    // The file may be gone; its folder rarely is.
    const real = await truePath(path).catch(async () =>
      join(await truePath(dirname(path)).catch(() => dirname(path)), basename(path)),
    );
    const way = relative(this.root, real);
    return way === '' || way === '..' || way.startsWith(`..${sep}`) ? undefined : way.split(sep).join('/');
  }

  /**
   * The text a path from the root had.
   * @throws FileError where it was not there, was too large or was no text
   */
  async text(path: string): Promise<string> {
    if (!this.files.has(path)) throw new FileError(say`it did not exist at ${printable(this.name)}`);
    const said = await git(this.root, ['cat-file', 'blob', `${this.commit}:${path}`], maxBytes);
    if ('bytes' in said) return decode(said.bytes).text;
    if (said.tooLarge) {
      throw new FileError(
        say`at ${printable(this.name)} it was too large: plans are read up to ${maxBytes / 4e6} million characters`,
      );
    }
    throw new FileError(say`git cannot read it at ${printable(this.name)}: ${said.failed}`);
  }

  /** Names of files that git takes for renamed since, the new one to the old one. */
  async renames(): Promise<ReadonlyMap<string, string>> {
    const said = await git(this.root, [
      ...(await filtersOff(this.root)),
      'diff',
      '--ignore-submodules=all',
      '--no-ext-diff',
      '--no-textconv',
      '--name-status',
      '-z',
      '-M',
      '--diff-filter=R',
      this.commit,
      '--',
    ]);
    const found = new Map<string, string>();
    if ('failed' in said) return found;
    const parts = names(said.bytes);
    for (let at = 0; at + 2 < parts.length; at += 3) found.set(parts[at + 2]!, parts[at + 1]!);
    return found;
  }

  /** Paths of all files that differ from the commit: changed, added, removed, and those that git does not know yet. */
  async changed(): Promise<ReadonlySet<string>> {
    const differ = await git(this.root, [
      ...(await filtersOff(this.root)),
      'diff',
      '--ignore-submodules=all',
      '--no-ext-diff',
      '--no-textconv',
      '--no-renames',
      '--name-only',
      '-z',
      this.commit,
      '--',
    ]);
    const fresh = await git(this.root, ['ls-files', '--others', '--exclude-standard', '-z', '--full-name']);
    for (const said of [differ, fresh]) {
      if ('failed' in said) throw new UsageError(say`git cannot say what changed: ${said.failed}.`);
    }
    return new Set([differ, fresh].flatMap((said) => ('bytes' in said ? names(said.bytes) : [])));
  }

  /** The files as they were; what lies outside of the repository is as it is. */
  source(disk: TextSource): TextSource {
    const pathOf = (uri: string): Promise<string | undefined> => this.pathOf(URI.parse(uri).fsPath);
    return {
      text: async (uri) => {
        const path = await pathOf(uri);
        return path === undefined ? disk.text(uri) : this.text(path);
      },
      spelling: async (uri) => {
        const path = await pathOf(uri);
        if (path === undefined) return disk.spelling(uri);
        if (this.files.has(path)) return undefined;
        const [called, another] = [...this.files].filter((each) => sameButSpelling(each, path));
        return called === undefined || another !== undefined
          ? undefined
          : URI.file(join(this.root, called)).toString();
      },
      has: async (uri) => {
        const path = await pathOf(uri);
        return path === undefined ? disk.has(uri) : this.files.has(path);
      },
    };
  }
}

const text = (bytes: Buffer): string => bytes.toString('utf8');
const names = (bytes: Buffer): string[] =>
  text(bytes)
    .split('\0')
    .filter((name) => name !== '');
