import { setTimeout } from 'node:timers/promises';

/** Waiting times between tries, in milliseconds; a second and a half in all. */
const waits = [20, 50, 100, 200, 400, 800];

/**
 * Tries again for a short while what another program stands in the way of: a scanner, a synchroniser or an editor holds a
 * file open. On Windows the system then calls it busy, or denies access.
 * @throws the error of the last try
 */
export async function patiently<T>(
  act: () => Promise<T>,
  platform: NodeJS.Platform = process.platform,
): Promise<T> {
  for (const wait of waits) {
    try {
      return await act();
    } catch (error) {
      if (!isHeld(error, platform)) throw error;
    }
    await setTimeout(wait);
  }
  return act();
}

/** Whether an error may come of another program that has the file open. */
export function isHeld(error: unknown, platform: NodeJS.Platform): boolean {
  const { code } = error as NodeJS.ErrnoException;
  return code === 'EBUSY' || (platform === 'win32' && (code === 'EPERM' || code === 'EACCES'));
}
