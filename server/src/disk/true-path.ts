import { realpath as slowRealpath } from 'node:fs';
import { realpath } from 'node:fs/promises';
import { promisify } from 'node:util';

/** What says that there is no such file; any other error may be the system call's own trouble. */
const gone = new Set(['ENOENT', 'ENOTDIR', 'ELOOP', 'ENAMETOOLONG']);

/**
 * Where a file lies in truth, links followed and spelled as the disk has it. The system's own call fails on some virtual and
 * network drives; then Node's answers, which walks the path by itself.
 * @throws the error of the system, such as ENOENT
 */
export async function truePath(path: string): Promise<string> {
  try {
    return await realpath(path);
  } catch (error) {
    if (gone.has((error as NodeJS.ErrnoException).code ?? '')) throw error;
    return promisify(slowRealpath)(path);
  }
}
