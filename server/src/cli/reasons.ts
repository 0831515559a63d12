import { own } from '../base/collections.ts';
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import { isHeld } from '../disk/patience.ts';
import { localizeOutput } from './terminal.ts';

/** Why a file could not be read or written, in plain words. */
export class FileError extends Error {
  constructor(readonly words: Phrase) {
    super(String(words));
  }
}

const reasons: Readonly<Record<string, Phrase>> = {
  ENOENT: say`there is no such file`,
  ENOTDIR: say`there is no such file: part of its path is not a folder`,
  EACCES: say`you have no permission to open it`,
  EPERM: say`you have no permission to open it`,
  EISDIR: say`it is a folder`,
  ELOOP: say`its links form a loop`,
  ENAMETOOLONG: say`its name is too long`,
  EMFILE: say`too many files are open`,
  ENFILE: say`too many files are open`,
  ENOSPC: say`the disk is full`,
  EDQUOT: say`your share of the disk is full`,
  EIO: say`the disk fails`,
  EBUSY: say`another program has it open; close it there`,
  ETXTBSY: say`another program has it open; close it there`,
  EROFS: say`it is on a read-only disk`,
};

/** Whether an error comes from outside: of the system, or told by us as the fault of a file. */
export const isOutside = (error: unknown): boolean =>
  error instanceof FileError ||
  (error instanceof Error &&
    'syscall' in error &&
    /^E[A-Z0-9]+$/.test(String((error as NodeJS.ErrnoException).code)));

/** The reason of a system error, in plain words of the language of this run. */
export function reasonOf(error: unknown): string {
  return localizeOutput(reasonIn(error));
}

function reasonIn(error: unknown): Phrase {
  if (error instanceof FileError) return error.words;
  const code = (error as NodeJS.ErrnoException).code ?? '';
  if (code === 'EPERM' && isHeld(error, process.platform))
    return say`you have no permission to change it, or another program has it open; close it there`;
  // The folder that a command runs in may be taken away.
  if (code === 'ENOENT' && (error as NodeJS.ErrnoException).syscall === 'uv_cwd')
    return say`the current folder is gone`;
  return own(reasons, code) ?? say`the system refuses it (${code || String(error)})`;
}
