import { fixAll } from '../features/fixes.ts';
import type { FixAllOptions } from '../features/fixes.ts';
import type { Settings } from '../features/check.ts';
import { Workspace } from '../workspace/workspace.ts';
import { failedOn } from './batch.ts';
import { readTextFile } from './files.ts';
import type { TextFile } from './files.ts';
import { onDisk, readDocumentFile, readUsed, removeIfPlan, tellOnce } from './gather.ts';
import { uriOf } from './targets.ts';
import type { FileFailure } from './targets.ts';

/** What a thread needs to know to fix files. */
export interface FixDetails {
  /** The folders in which what a file uses may lie. */
  readonly folders: readonly string[];
  readonly options: FixAllOptions;
  readonly settings: Settings;
  /** The shared files that were changed in this run, as they are now. */
  readonly changed: readonly (readonly [uri: string, text: string])[];
}

/** A file that was looked at. */
export interface Fixed {
  readonly uri: string;
  /** Absent for standard input. */
  readonly path: string | undefined;
  /** The file and its new text; absent where that is the old one, unless it came from standard input. */
  readonly change: { readonly before: TextFile; readonly text: string } | undefined;
  readonly fixed: number;
  /** Whether something is left that only an unsafe fix mends. */
  readonly hasMore: boolean;
}

export interface FixResult {
  readonly result: Fixed | FileFailure;
  /** Files that this one uses, and that are there and cannot be read. */
  readonly unread: readonly FileFailure[];
}

interface Fixer {
  /** Reads a file and fixes its text; nothing is written. */
  fix(path: string): Promise<FixResult>;
  /** The same for a text from elsewhere. */
  fixText(uri: string, path: string | undefined, before: TextFile): Promise<FixResult>;
  /** The next files are read against what this one is now. */
  changed(uri: string, text: string): void;
}

/** Fixes one file after the other, keeping in memory those that others use. */
export function fixerOf(
  files: readonly string[],
  { folders, options, settings, changed }: FixDetails,
): Fixer {
  const workspace = new Workspace();
  const now = new Map(changed);
  let uris: ReadonlySet<string> | undefined;
  const disk = onDisk({ folders, asked: (uri) => (uris ??= new Set(files.map(uriOf))).has(uri) });
  const source = { ...disk, text: async (uri: string) => now.get(uri) ?? disk.text(uri) };
  const fixText: Fixer['fixText'] = async (uri, path, before) => {
    const unread: FileFailure[] = [];
    try {
      workspace.set(uri, before.text);
      await readUsed(workspace, source, tellOnce(unread));
      const { text, fixed, hasMore } = fixAll(workspace, uri, options, settings);
      const more = !options.unsafe && hasMore();
      removeIfPlan(workspace, uri);
      const change = text === before.text && path !== undefined ? undefined : { before, text };
      return { result: { uri, path, change, fixed, hasMore: more }, unread };
    } catch (error) {
      workspace.remove(uri);
      return { result: failedOn(uri, error), unread };
    }
  };
  return {
    async fix(path) {
      const uri = uriOf(path);
      const file = await readDocumentFile(uri, () => readTextFile(path));
      return 'reason' in file ? { result: file, unread: [] } : fixText(uri, path, file);
    },
    fixText,
    changed(uri, text) {
      now.set(uri, text);
      if (workspace.document(uri)) workspace.set(uri, text);
    },
  };
}
